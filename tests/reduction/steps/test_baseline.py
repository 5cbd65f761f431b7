"""What would be there without the edge is taken away, and the choice is a named spread."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import ENERGY, curve, passed, scan, spectrum

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Place
from edgeshift.reduction.steps import baseline

BELOW = (1550.0, 1560.0)


def recipe(degree: int = 0, below: tuple[float, float] = BELOW) -> Recipe:
    return Recipe.model_validate({"baseline": {"below_ev": below, "degree": degree}})


def without(value: np.ndarray, degree: int = 0, below: tuple[float, float] = BELOW):
    each = replace(passed(scan()), curve=spectrum("scan-001", value, Place()))
    return baseline.run((each,), recipe(degree, below))[0].curve


@pytest.mark.parametrize(
    ("degree", "under"),
    [(0, 0.7 + 0 * ENERGY), (1, 0.7 + 0.01 * (ENERGY - 1550)), (2, 0.7 + 1e-4 * (ENERGY - 1570) ** 2)],
)
def test_a_baseline_of_its_own_kind_is_taken_away_whole(degree, under):
    flat = np.where(ENERGY < 1562, 0.0, curve(1.0))
    np.testing.assert_allclose(without(flat + under, degree).value, flat, atol=1e-6)


def test_noise_above_the_edge_does_not_move_it():
    high = curve(1.0) + np.where(ENERGY > 1580, 5.0, 0.0)
    below = ENERGY < 1565
    np.testing.assert_allclose(without(high).value[below], without(curve(1.0)).value[below])


def test_a_spread_over_sane_choices_is_a_shared_term_and_grows_away_from_the_stretch():
    rng = np.random.default_rng(2)
    found = without(curve(1.0) + 0.5 + 0.01 * rng.standard_normal(ENERGY.size))
    (term,) = found.shared
    assert (term.name, term.cause) == ("baseline choice", "baseline of Al K")
    assert abs(term.shape[-1]) > abs(term.shape[20])
    np.testing.assert_array_equal(found.sigma, np.full(ENERGY.size, 0.01))


def test_where_every_choice_agrees_there_is_next_to_no_spread():
    flat = np.where(ENERGY < 1562, 0.5, 1.5)
    (term,) = without(flat).shared
    np.testing.assert_allclose(term.shape, 0.0, atol=1e-9)


@pytest.mark.parametrize("below", [(1500.0, 1540.0), (1550.0, 1550.5)])
def test_too_few_points_below_leave_the_level_and_say_so(below):
    found = without(curve(1.0) + 0.5, below=below)
    np.testing.assert_array_equal(found.value, curve(1.0) + 0.5)
    assert "points lie below the edge, so no baseline was taken away." in found.doubts[0]
    assert found.shared == ()


def test_missing_points_stay_missing_and_spoil_no_other():
    value = curve(1.0) + 0.5
    value[10] = np.nan
    found = without(value)
    assert np.isnan(found.value[10])
    assert np.isfinite(np.delete(found.value, 10)).all()


@pytest.mark.parametrize(("degree", "kind"), [(0, "A level"), (1, "A straight line"), (2, "A parabola")])
def test_the_methods_say_what_was_taken_away_and_where(degree, kind):
    assert baseline.sentence((), recipe(degree)) == (
        f"{kind} through 1550.0 to 1560.0 eV was taken away from every curve."
    )
