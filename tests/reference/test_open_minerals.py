"""Raw S K scans of minerals: where their main peaks lie, which repeats agree, and in what.

Data: Le Losq, Moretti, Medard, Berthod, Schiavi, Trcera, Lebas 2025, supporting data, CC BY 4.0. Expected
values: measured on these files by a plain script.
"""

from __future__ import annotations

import numpy as np
import pytest
from open_scans import alone, scans, unscaled

from edgeshift.numerics.features import position
from edgeshift.questions.trust import compare


def peaks(folder, pattern: str, near: float) -> list[float]:
    """Energy of the main peak of every scan that fits, through the whole reduction."""
    curves = [alone(one) for one in scans(folder / "mineral_raw", pattern, "S K")]
    assert {curve.unit for curve in curves} == {"step"}
    return [position(curve.energy_ev, curve.value, (near - 2, near + 2)) for curve in curves]


@pytest.mark.parametrize(
    ("pattern", "expected_ev"),
    [("Gypse_*", 2481.6), ("Ni_sulphate_*", 2481.8), ("Blende_*", 2472.9), ("Pyrite_*", 2471.25)],
)
def test_the_main_peak_lies_where_a_plain_script_found_it(open_data, pattern, expected_ev):
    for found in peaks(open_data, pattern, expected_ev):
        assert found == pytest.approx(expected_ev, abs=0.15)


def test_pyrite_repeats_differ_by_half_a_percent_of_gain_and_a_fifth_of_a_percent_is_left(open_data):
    one, two = unscaled(scans(open_data / "mineral_raw", "Pyrite_*", "S K"))
    found = compare(one, two).detail["autopsy"]
    parts = {part["code"]: part["value"] for part in found["parts"]}
    assert found["main"] == "gain"
    assert 1 + parts["gain"] == pytest.approx(1.005, abs=0.002)
    assert parts["left"] / np.nanmax(one.value) == pytest.approx(0.002, abs=0.001)


def test_gypsum_repeats_agree_in_position_and_not_in_height(open_data):
    found = peaks(open_data, "Gypse_*", 2481.6)
    assert np.ptp(found) < 0.05
    heights = [alone(one).value.max() for one in scans(open_data / "mineral_raw", "Gypse_*", "S K")]
    assert np.ptp(heights) / np.mean(heights) > 0.05
