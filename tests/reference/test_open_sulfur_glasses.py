"""S K of glasses, two columns a file: how much of the sulphur is sulphate.

Data: Le Losq, Moretti, Medard, Berthod, Schiavi, Trcera, Lebas 2025, supporting data, CC BY 4.0. SB5 stands
for sulphate and SB41 for sulphide, after the authors' assignment; shares 1, 0.90 and 0.01 were measured on
these files by a plain script.
"""

from __future__ import annotations

import numpy as np
import pytest
from open_scans import RECIPE, proposed, reduced, scan, unscaled

from edgeshift.numerics.mixtures import non_negative
from edgeshift.questions.mixtures import Reference, answer
from edgeshift.questions.trust import compare
from edgeshift.records.scan import Place
from edgeshift.reduction.pipeline import flagged

GLASSES = ("SB5", "SB19", "SB36", "SB41")
ENERGY_EV = np.arange(2466.0, 2494.0, 0.25)


@pytest.fixture(scope="module")
def glasses(open_data):
    """Every glass in edge steps: name -> (energies, values)."""
    some = [scan(open_data / "sulfur_glass_csv" / f"S_XANES_{name}.csv", "S K") for name in GLASSES]
    spots = reduced(some).spots
    assert {spot.unit for spot in spots} == {"step"}
    return {name: (spot.energy_ev, spot.value) for name, spot in zip(GLASSES, spots, strict=True)}


def sulphate(glasses, name: str, sulphide: str = "SB41") -> float:
    """Share of SB5 beside the sulphide end member, on the same energies; the sum is not forced."""
    rows = {each: np.interp(ENERGY_EV, *glasses[each]) for each in {name, "SB5", sulphide}}
    return float(non_negative(rows[name], np.array([rows["SB5"], rows[sulphide]])).shares[0])


def test_the_sulphate_share_falls_from_glass_to_glass(glasses):
    found = [sulphate(glasses, name) for name in ("SB5", "SB19", "SB36")]
    np.testing.assert_allclose(found, [1.0, 0.90, 0.01], atol=0.03)
    assert found == sorted(found, reverse=True)


def test_two_glasses_cannot_be_told_apart_by_their_sulphate(glasses):
    """Either may stand for the sulphide end."""
    assert sulphate(glasses, "SB41", sulphide="SB36") < 0.03
    assert abs(sulphate(glasses, "SB19") - sulphate(glasses, "SB19", sulphide="SB36")) < 0.01


def test_the_fans_keep_the_order_and_let_two_glasses_stand_together(open_data):
    """SB5 and SB41 as end members: SB19 is surely mostly sulphate, SB36 surely is not, and it is no SB41."""
    kept = {
        name: flagged(
            [scan(open_data / "sulfur_glass_csv" / f"S_XANES_{name}.csv", "S K", Place(name))], RECIPE
        )
        for name in GLASSES
    }
    ends = [Reference(name, kept[name]) for name in ("SB5", "SB41")]
    found = {name: answer("S K", name, kept[name], ends, RECIPE) for name in ("SB19", "SB36")}
    high, low = (found[name].detail["shares"]["SB5"] for name in ("SB19", "SB36"))
    assert high["low"] > 0.8 > 0.2 > low["high"]
    assert low["low"] == 0, "no sulphate in SB36 that SB41 has not"
    assert found["SB36"].verdict == "cannot-tell", "it has a line that neither end member has"
    left = found["SB36"].detail["curves"]
    assert left["energy_ev"][int(np.argmax(np.abs(left["left"])))] == pytest.approx(2469.6, abs=0.6)


def test_their_curves_are_told_apart_all_the_same_by_a_line_that_is_no_sulphate(glasses, open_data):
    """SB36 has a line at 2469.7 eV that SB41 lacks: equal shares do not make equal glasses."""
    some = [scan(open_data / "sulfur_glass_csv" / f"S_XANES_{name}.csv", "S K") for name in ("SB36", "SB41")]
    assert compare(*unscaled(some)).detail["autopsy"]["main"] == "left"
    apart = np.interp(ENERGY_EV, *glasses["SB36"]) - np.interp(ENERGY_EV, *glasses["SB41"])
    assert ENERGY_EV[int(np.argmax(np.abs(apart)))] == pytest.approx(2469.5, abs=0.5)
    assert apart.max() > 0.5


def test_a_column_called_intensity_is_asked_about_before_it_is_believed(open_data):
    found = proposed(open_data / "sulfur_glass_csv" / "S_XANES_SB5.csv")
    assert not found.certain
    assert any("proposed as a ready-made absorption" in doubt for doubt in found.doubts)
