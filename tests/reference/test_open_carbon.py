"""C K of diamond-like carbon: sample current already divided by I0. Data: MIT, (c) 2020 H. Nakajima.

Expected values: measured on this file by a plain script.
"""

from __future__ import annotations

import pytest
from open_scans import alone, scan

from edgeshift.numerics.features import position


@pytest.fixture(scope="module")
def carbon(open_data):
    return scan(open_data / "carbon_k_csv" / "CK.csv", "C K")


@pytest.mark.parametrize(
    ("line", "window_ev", "expected_ev"),
    [("pi*", (284.1, 286.1), 285.1), ("C-O and C=O", (287.7, 289.7), 288.7)],
)
def test_both_lines_lie_where_a_plain_script_found_them(carbon, line, window_ev, expected_ev):
    curve = alone(carbon)
    assert position(curve.energy_ev, curve.value, window_ev) == pytest.approx(expected_ev, abs=0.15), line


def test_the_current_is_taken_as_divided_and_never_divided_again(carbon):
    assert (carbon.signal, set(carbon.channels)) == ("absorption", {"absorption"})


def test_of_three_edges_that_fit_the_one_in_the_files_name_is_proposed_with_a_doubt(open_data):
    unnamed = scan(open_data / "carbon_k_csv" / "CK.csv")
    assert unnamed.edge == "C K"
    assert any("by its file's name" in doubt and "K L" in doubt for doubt in unnamed.doubts)
