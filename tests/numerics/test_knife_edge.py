"""Scans across a specimen: edges and beam come back, and what shows no step is refused."""

import math

import numpy as np
import pytest
from scipy.special import erf

from edgeshift.numerics.knife_edge import Across, across, footprint_mm, margin_mm, spot_offset_mm

MM = np.linspace(0.0, 10.0, 61)


def seen(left=3.0, right=7.0, s=0.25, noise=0.01, seed=1):
    """What a beam of sigma `s` reads across a specimen of height 1 on a level of 0.2."""
    shape = 0.5 * (erf((MM - left) / (math.sqrt(2) * s)) - erf((MM - right) / (math.sqrt(2) * s)))
    return 0.2 + shape + noise * np.random.default_rng(seed).standard_normal(MM.size)


def test_both_edges_and_the_beam_come_back():
    found = across(MM, seen())
    assert found.left == pytest.approx(3.0, abs=4 * found.sigma) and found.sigma < 0.02
    assert found.right == pytest.approx(7.0, abs=0.05)
    assert found.s == pytest.approx(0.25, abs=0.03) and found.height == pytest.approx(1.0, abs=0.02)


def test_the_told_sigma_of_an_edge_is_its_scatter():
    found = [across(MM, seen(noise=0.03, seed=seed)) for seed in range(60)]
    scatter = np.std([each.left for each in found])
    assert scatter == pytest.approx(np.mean([each.sigma for each in found]), rel=0.35)


@pytest.mark.parametrize(("left", "right"), [(3.0, 30.0), (-20.0, 7.0)])
def test_an_edge_that_was_not_crossed_is_not_invented(left, right):
    found = across(MM, seen(left, right))
    assert (found.left is None, found.right is None) == (left < 0, right > 10)


def test_positions_may_come_in_any_order():
    order = np.random.default_rng(2).permutation(MM.size)
    assert across(MM[order], seen()[order]).left == pytest.approx(3.0, abs=0.05)


@pytest.mark.parametrize(
    ("mm", "signal", "word"),
    [(MM[:5], seen()[:5], "few"), (MM, np.random.default_rng(3).standard_normal(MM.size), "flat")],
)
def test_a_scan_that_shows_no_specimen_is_refused(mm, signal, word):
    with pytest.raises(ValueError, match=f"^{word}: needed"):
        across(mm, signal)


def test_the_margin_is_what_two_sigma_leave_to_the_nearest_edge():
    place = Across(3.0, 7.0, 0.25, 1.0, 0.01)
    assert margin_mm(place, 4.0) == pytest.approx(0.5)
    assert margin_mm(place, 7.2) == pytest.approx(-0.7)
    assert margin_mm(place, 5.0, offset_mm=-1.73) == pytest.approx(2.0 - 0.5 - 1.73)


def test_room_beyond_an_edge_that_was_not_crossed_is_not_known():
    half = Across(3.0, None, 0.25, 1.0, 0.01)
    assert margin_mm(half, 5.0) is None
    assert margin_mm(half, 3.1) == pytest.approx(0.1 - 0.5)


def test_the_worked_values_of_a_tilted_specimen():
    """Geometry: 0.5 mm at 30 degrees covers 1.0 mm; a phosphor 1 mm proud moves the spot by 1.73 mm."""
    assert footprint_mm(0.5, 30) == pytest.approx(1.0)
    assert spot_offset_mm(1.0, 30) == pytest.approx(1.73, abs=0.005)
    assert Across(0.0, 1.0, 0.25, 1.0, 0.0).fwhm == pytest.approx(0.59, abs=0.005)
