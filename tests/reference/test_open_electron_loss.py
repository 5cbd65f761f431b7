"""EMSA files: one X-ray electron yield, core losses whose energies nobody tied, and two that hold no edge.

Data: EELS Data Base, Open Database License, Ewels and others 2016, doi:10.1017/S1431927616000179 (alumina,
LSMO, La2NiO4, Co-He); NMC: MIT, (c) 2025 H. Jia; EELS_STO: MIT, pyTEMlib example. Expected values: measured
on these files by a plain script.
"""

from __future__ import annotations

import numpy as np
import pytest
from open_scans import alone, proposed, reduced, scan

from edgeshift.errors import NotAScan
from edgeshift.formats.recognise import tables
from edgeshift.numerics import white_lines
from edgeshift.numerics.features import position

FILM, INTERFACE = "LSMO_MnL_film-middle.msa", "LSMO_MnL_interface-O-poor.msa"
L3_EV, L2_EV = (643.0, 654.0), (655.0, 663.0)
ARCTANGENT_FWHM_EV = 1.0


def test_alumina_has_its_main_peak_and_no_usable_step(open_data):
    curve = alone(scan(open_data / "eels_msa" / "alumina-alpha_AlK_TEY.msa"))
    assert position(curve.energy_ev, curve.value, (1567.0, 1568.6)) == pytest.approx(1567.8, abs=0.1)
    assert (curve.edge, curve.unit) == ("Al K", "area")
    assert any(doubt.startswith("No usable edge step:") for doubt in curve.doubts)


@pytest.mark.parametrize(("name", "expected"), [(FILM, 1.74), (INTERFACE, 2.92)])
def test_raw_maxima_of_manganese_l3_over_l2(open_data, name, expected):
    one = scan(open_data / "eels_msa" / name)
    found = white_lines.ratio_of_raw_maxima(one.energy_ev, one.channels[one.signal].raw[0], L3_EV, L2_EV)
    assert found == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize(("name", "expected", "within"), [(FILM, 2.4, 0.1), (INTERFACE, 4.7, 0.3)])
def test_maxima_of_manganese_l3_over_l2_above_a_two_to_one_step(open_data, name, expected, within):
    """Level below, step from the stretch above the last line, both chosen by the reduction."""
    found = reduced([scan(open_data / "eels_msa" / name)])
    (curve,) = found.spots
    assert curve.unit == "step"
    assert found.recipe.scale.above_ev[0] > L2_EV[1], "the second line must not be part of the step"
    ratio = white_lines.ratio_of_maxima_above_two_to_one_step(
        curve.energy_ev, curve.value, L3_EV, L2_EV, ARCTANGENT_FWHM_EV
    )
    assert ratio == pytest.approx(expected, abs=within)


def test_areas_are_another_definition_and_give_another_number(open_data):
    curve = alone(scan(open_data / "eels_msa" / FILM))
    at = curve.energy_ev, curve.value, L3_EV, L2_EV, ARCTANGENT_FWHM_EV
    areas, maxima = (
        white_lines.ratio_of_areas_above_two_to_one_step(*at),
        white_lines.ratio_of_maxima_above_two_to_one_step(*at),
    )
    assert areas - maxima > 0.2


@pytest.mark.parametrize(
    "name",
    [
        FILM,
        INTERFACE,
        "NMC-Si_36-650eV_raw.msa",
        "NMC-Si_SiL_edge_bgsub.msa",
        "NMC_Mn_edge_bgsub.msa",
        "NMC_oxygen_edge_bgsub.msa",
    ],
)
def test_a_scan_carries_on_that_its_energies_are_not_tied(open_data, name):
    """What the reader says of the file reaches whoever is asked whether the trace can be trusted."""
    told = scan(open_data / "eels_msa" / name).doubts
    assert any("not calibrated" in doubt or "were tied" in doubt for doubt in told)


def test_energy_losses_in_plain_text_are_asked_about(open_data):
    found = proposed(open_data / "eels_msa" / "EELS_STO.txt")
    assert not found.certain
    assert any("energy losses of electrons, an axis that is not tied" in doubt for doubt in found.doubts)


def test_the_untied_axis_is_off_where_the_table_is_known(open_data):
    """The strongest Mn line of the middle of the film stands 8 to 10 eV above the tabulated L3 edge."""
    curve = alone(scan(open_data / "eels_msa" / FILM))
    assert position(curve.energy_ev, curve.value, L3_EV) == pytest.approx(648.5, abs=0.3)


@pytest.mark.parametrize("name", ["NMC_zero-loss_NOT-AN-EDGE.msa", "Co-He_lowloss_no-header_NOT-AN-EDGE.msa"])
def test_what_holds_no_edge_is_refused_as_no_scan(open_data, name):
    path = open_data / "eels_msa" / name
    with pytest.raises(NotAScan, match=r"needed .*energies between 30 and 30000 eV, found "):
        proposed(path)
    assert np.isfinite(tables(name, path.read_bytes())[0].columns[1].values).any(), (
        "it was read, then refused"
    )
