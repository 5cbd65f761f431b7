"""Analysis of variance against NIST's certified values (Statistical Reference Datasets)."""

from __future__ import annotations

import pytest

from edgeshift.numerics.two_groups import pooled_t
from edgeshift.numerics.variance import one_way

CERTIFIED = {
    # set: (between, within, F, R squared, deviation inside, digits that must agree)
    "atmwtag": (
        3.63834187500000e-09,
        1.04951729166667e-08,
        15.9467335677930,
        2.57426544538321e-01,
        1.51048314446410e-05,
        8,
    ),
    "sirstv": (
        5.11462616000000e-02,
        2.16636560000000e-01,
        1.18046237440255,
        1.90999039051129e-01,
        1.04076068334656e-01,
        12,
    ),
    "smls01": (1.68, 1.80, 21.0, 4.82758620689655e-01, 0.1, 14),
    "smls07": (1.68, 1.80, 21.0, 4.82758620689655e-01, 0.1, 4),
}


@pytest.mark.parametrize("name", CERTIFIED)
def test_one_way_agrees_with_nist(name, groups, digits):
    between, within, f, explained, deviation, enough = CERTIFIED[name]
    found = one_way(groups(name))
    assert digits(found.f, f) >= enough
    assert digits(found.between, between) >= enough
    assert digits(found.within, within) >= enough
    assert digits(found.explained, explained) >= enough
    assert digits(found.within_deviation, deviation) >= enough


def test_two_groups_give_the_square_of_t(groups):
    # AtmWtAg, F = 15.9467335677930 (NIST)
    assert pooled_t(*groups("atmwtag")).t ** 2 == pytest.approx(15.9467335677930, rel=1e-6)
