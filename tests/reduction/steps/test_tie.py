"""Energies move where a person declared it, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented import ENERGY, curve, passed, scan, spectrum

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Place, Tie
from edgeshift.reduction.steps import tie

SHIFT = Tie(0.3, 0.05, "a known line, published")


def tied(declared: Tie | None, value: np.ndarray | None = None):
    value = curve(1.0) if value is None else value
    each = replace(passed(replace(scan(), tie=declared)), curve=spectrum("scan-001", value, Place()))
    return tie.run((each,), Recipe())[0]


def test_without_a_declared_tie_the_very_same_pass_comes_back():
    found = tied(None)
    np.testing.assert_array_equal(found.curve.energy_ev, ENERGY)
    assert found.curve.shared == ()


def test_a_tie_adds_its_shift_and_leaves_the_readings_alone():
    found = tied(SHIFT).curve
    np.testing.assert_allclose(found.energy_ev, ENERGY + 0.3)
    np.testing.assert_array_equal(found.value, curve(1.0))


def test_its_give_or_take_is_a_shared_term_that_moves_the_curve_as_a_slide_would():
    (term,) = tied(SHIFT).curve.shared
    assert (term.name, term.cause) == ("energy tie", SHIFT.source)
    slid = curve(1.0, shift_ev=SHIFT.sigma_ev) - curve(1.0)
    np.testing.assert_allclose(term.shape, slid, atol=0.1 * np.abs(slid).max())


def test_a_tie_known_exactly_leaves_no_spread():
    (term,) = tied(replace(SHIFT, sigma_ev=0.0)).curve.shared
    assert not term.shape.any()


def test_a_missing_point_spoils_no_other_points_spread():
    value = curve(1.0)
    value[100] = np.nan
    found = tied(SHIFT, value).curve
    assert np.isfinite(found.shared[0].shape).all()
    assert np.isnan(found.value[100])


@pytest.mark.parametrize(("shift_ev", "told"), [(0.3, "+0.3 eV"), (-0.3, "-0.3 eV")])
def test_the_methods_name_shift_and_source_once_however_many_scans(shift_ev, told):
    each = passed(replace(scan(), tie=replace(SHIFT, shift_ev=shift_ev)))
    said = tie.sentence((each, each, passed(scan())), Recipe())
    assert said == f"Energies of 2 scans were shifted as declared: {told} (a known line, published)."


def test_no_tie_is_said_too():
    assert tie.sentence((passed(scan()),), Recipe()) == (
        "Energies are as the beamline gave them; no tie was declared."
    )
