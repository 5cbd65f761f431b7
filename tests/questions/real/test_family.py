"""Holm's step-down levels."""

import pytest

from edgeshift.questions.real.family import holm_levels


def test_the_smallest_chance_meets_the_hardest_level():
    levels = holm_levels({"Al K": 0.001, "Fe L": 0.04}, 0.05)
    assert levels == {"Al K": pytest.approx(0.025), "Fe L": pytest.approx(0.05)}


def test_after_one_fails_all_larger_chances_fail_too():
    levels = holm_levels({"Al K": 0.03, "Fe L": 0.04, "K L": 0.045}, 0.05)
    assert all(chance > levels[edge] for edge, chance in {"Al K": 0.03, "Fe L": 0.04, "K L": 0.045}.items())


def test_alone_there_is_no_price():
    assert holm_levels({"Al K": 0.2}, 0.05) == {"Al K": 0.05}


def test_nothing_asked_is_nothing_judged():
    assert holm_levels({}, 0.05) == {}
