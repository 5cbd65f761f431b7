"""Attenuation lengths and edge jumps by three published sets, and the table against the tool that wrote it.

The numbers were computed from the sets directly (Elam and Chantler through xraydb 4.5.8, Henke through
periodictable 2.1.0); ours come along straight lines between logarithms of a coarser table.
"""

from __future__ import annotations

import importlib.util
import runpy
from importlib.metadata import version
from pathlib import Path

import pytest

from edgeshift.tables.absorption import attenuation_length_um, composition, jump
from edgeshift.tables.absorption_values import SETS

TOOLS = Path(__file__).resolve().parents[2] / "tools"
TABLES = TOOLS.parent / "src" / "edgeshift" / "tables"

# formula, g/cm3, eV: 1/e lengths in µm at normal incidence (Elam, Chantler, Henke)
LENGTHS = [
    ("Al2O3", 3.987, 525.0, (0.6641, 0.7033, 0.6093)),
    ("Al2O3", 3.987, 1000.0, (0.8996, 0.9417, 0.8951)),
    ("Al2O3", 3.987, 1540.0, (2.8616, 3.0331, 2.8682)),
    ("Al2O3", 3.987, 1580.0, (0.9407, 0.9279, 0.9042)),
    ("SiO2", 2.65, 525.0, (0.8952, 0.9069, 0.7922)),
    ("SiO2", 2.65, 1830.0, (6.0692, 6.3422, 6.0869)),
    ("SiO2", 2.65, 1860.0, (1.9654, 1.9308, 1.8888)),
    ("Fe2O3", 5.24, 700.0, (0.4021, 0.4006, 0.3837)),
    ("Fe2O3", 5.24, 740.0, (0.1572, 0.1359, 0.1326)),
    ("CaCO3", 2.71, 280.0, (0.6437, 0.6882, 0.6386)),
    ("CaCO3", 2.71, 500.0, (0.3134, 0.3086, 0.3053)),
    ("Be", 1.848, 280.0, (0.2613, 0.2812, 0.2515)),
    ("Be", 1.848, 1000.0, (8.957, 9.852, 9.030)),
    ("Al", 2.70, 1540.0, (9.893, 10.46, 10.18)),
    ("Al", 2.70, 1580.0, (0.9636, 0.9303, 0.9166)),
    ("Si3N4", 3.44, 525.0, (0.2618, 0.2598, 0.2379)),
    ("C", 2.2, 280.0, (1.766, 1.894, 2.402)),
    ("C", 2.2, 320.0, (0.1233, 0.1191, 0.1145)),
]

# mu(1.05 E0) / mu(0.95 E0), a pair from its first edge: mu(1.05 E3 or 1.03 E2) / mu(0.95 E3)
JUMPS = {
    "C K": (15.22, 17.69, 21.68),
    "N K": (14.22, 15.85, 20.27),
    "O K": (12.83, 14.62, 15.11),
    "F K": (11.78, 13.53, 15.40),
    "Na K": (9.37, 11.73, 11.48),
    "Mg K": (9.43, 10.95, 15.13),
    "Al K": (8.55, 9.96, 9.13),
    "Si K": (8.32, 9.41, 8.69),
    "Ca L": (7.46, 8.89, 7.92),
    "Ti L": (7.20, 8.36, 7.50),
    "Mn L": (6.69, 7.33, 6.98),
    "Fe L": (5.93, 7.17, 6.82),
    "Ni L": (5.44, 6.63, 6.45),
    "Cu L": (7.01, 6.28, 5.99),
    "Zn L": (5.02, 6.15, 5.98),
}


@pytest.mark.parametrize(("formula", "density", "at_ev", "expected"), LENGTHS)
def test_attenuation_lengths_are_those_of_the_three_sets(formula, density, at_ev, expected):
    found = attenuation_length_um(composition(formula), density, at_ev)
    assert [each.value for each in found.values] == pytest.approx(expected, rel=0.02)
    assert found.disputed == ()


def test_quartz_between_the_two_places_of_its_oxygen_edge_gives_all_three_and_a_warning():
    found = attenuation_length_um(composition("SiO2"), 2.65, 537.0)
    assert [each.value for each in found.values] == pytest.approx([0.945, 0.271, 0.839], rel=0.01)
    assert found.disputed == ("O K",)


@pytest.mark.parametrize("name", JUMPS)
def test_edge_jumps_are_those_of_the_three_sets(name):
    assert [each.value for each in jump(name).values] == pytest.approx(JUMPS[name], rel=0.03)


def test_the_first_set_is_no_second_opinion_on_itself():
    """xraylib's totals are the first set's own, so it is no set here."""
    assert len(SETS) == 3 and not any("xraylib" in each for each in SETS)


@pytest.mark.parametrize(
    ("tool", "table", "needs"),
    [
        ("make_absorption_table.py", "absorption_values.py", ("periodictable", "xraydb", "xraylib")),
        ("make_emission_table.py", "emission_values.py", ("xraydb", "xraylib")),
    ],
)
def test_the_tool_writes_the_table_anew_byte_for_byte(tool, table, needs):
    if not all(importlib.util.find_spec(name) for name in needs):
        pytest.skip(f"{' and '.join(needs)} are not all installed (dependency group tables)")
    text = (TABLES / table).read_text(encoding="utf-8")
    if not all(version(name) in text for name in needs if name in text):
        pytest.skip("another version of a library than the one the table was written from")
    assert runpy.run_path(str(TOOLS / tool))["render"]() == text
