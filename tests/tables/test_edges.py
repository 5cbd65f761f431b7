"""Edges by name and by range: every one that fits, with its doubts, never the nearest alone."""

from __future__ import annotations

import math

import pytest

from edgeshift.errors import TextRefused
from edgeshift.tables.edge_values import ROWS
from edgeshift.tables.edges import edge, edge_named, edges_between, likely_edges, split_ev


def named(candidates) -> dict[str, dict[str, float]]:
    """Candidate name -> its doubts as 'code edge' -> value."""
    return {c.family.name: {f"{d.code} {d.edge}": d.value_ev for d in c.doubts} for c in candidates}


def test_every_row_is_a_plausible_edge():
    assert len({row[:2] for row in ROWS}) == len(ROWS)
    for element, shell, *numbers in ROWS:
        energies = [number for number in numbers[:2] if number is not None]
        assert energies, (element, shell)
        assert max(energies) < 1.6 * min(energies), (element, shell)
        for number in numbers:
            assert number is None or (math.isfinite(number) and number > 0), (element, shell)
        assert numbers[2] is None or numbers[2] > 1, (element, shell)
        assert all(number is None or number < 1 for number in numbers[3:5]), (element, shell)


def test_deeper_shells_lie_higher_and_heavier_elements_lie_higher():
    elements = list(dict.fromkeys(row[0] for row in ROWS))
    k_edges = [edge(element, "K").low_ev for element in elements if (element, "K") in {r[:2] for r in ROWS}]
    assert k_edges == sorted(k_edges)
    for element in ("Ca", "Fe", "Ag", "U"):
        shells = [edge(element, shell).low_ev for shell in ("L1", "L2", "L3", "M1", "M3")]
        assert shells == sorted(shells, reverse=True)


def test_the_table_reaches_from_50_ev_to_8_kev():
    # every main edge of the elements met in clay, glass and soil; Li K to Cu K at 8979 eV
    assert edge("Li", "K").low_ev < 60
    assert edge("Fe", "K").low_ev == 7112.0
    assert edge("Cu", "K").high_ev > 8000
    for low in range(50, 8000, 50):
        assert edges_between(low, low + 200), low


def test_a_letter_stands_for_its_pair():
    assert [each.name for each in edge_named("Fe L").edges] == ["Fe L3", "Fe L2"]
    assert [each.name for each in edge_named("Ba M").edges] == ["Ba M5", "Ba M4"]
    assert [each.name for each in edge_named("K K").edges] == ["K K"]
    assert edge_named("Fe L3").splits_ev == ()


def test_the_pair_lies_apart_by_what_each_source_says():
    assert [round(each.value, 1) for each in edge_named("Fe L").splits_ev] == [13.1, 13.0]


@pytest.mark.parametrize("name", ["Fe", "Xx K", "fe K", "Al L4", "", "Al  K", "Al K edge"])
def test_a_name_that_is_none_is_refused(name):
    with pytest.raises(TextRefused, match="edge name: needed an element and a shell, as 'Al K' or 'Fe L'"):
        edge_named(name)


def test_an_edge_outside_the_table_is_refused():
    with pytest.raises(TextRefused, match="found 'H K'"):
        edge("H", "K")


def test_edges_between_lists_what_any_source_puts_there():
    names = [each.name for each in edges_between(525, 545)]
    assert names == sorted(names, key=lambda name: edge(*name.split()).low_ev)
    assert {"O K", "Sb M5", "Sb M4"} <= set(names)


def test_an_iron_scan_may_be_iron_or_fluorine_and_its_line_speaks_for_iron():
    # Fe3+ L3 main line 709.5 eV: van Aken, Liebscher and Styrsa 1998, Phys. Chem. Minerals 25, 323
    found = likely_edges(690.0, 740.0, 709.5)
    assert found[0].family.name == "Fe L"
    assert [c.fits for c in found if c.family.name in ("Fe L", "F K")] == [True, False]
    assert named(found)["F K"]["line-out-of-reach F K"] == pytest.approx(12.8)


def test_an_oxygen_scan_keeps_its_rival_and_shows_the_conflict():
    found = named(likely_edges(525.0, 560.0, 531.0))
    assert set(found) == {"O K", "Sb M"}
    assert found["O K"] == {"tables-disagree O K": 11.1}
    assert found["Sb M"] == {"line-on-edge O K": -1.0}


def test_a_line_on_the_partners_edge_is_told():
    # potassium's main L3 line sits on the tabulated L2 edge, 297.3 eV: the nearest edge would be wrong
    found = named(likely_edges(280.0, 310.0, 297.3))
    assert "line-on-edge K L2" in found["K L"]
    assert "C K" in found


def test_a_partner_beyond_the_scan_is_told():
    found = likely_edges(700.0, 715.0, 709.5)
    assert found[0].family.name == "Fe L"
    assert "partner-outside Fe L2" in named(found)["Fe L"]


def test_without_a_line_no_candidate_is_spoken_against():
    found = likely_edges(1550.0, 1620.0, None)
    assert {"Al K", "Br L"} <= {each.family.name for each in found}
    assert all(each.fits for each in found)


def test_the_edges_of_sulphur_and_iron_at_a_harder_beamline_are_there():
    assert likely_edges(7080.0, 7300.0, 7130.0)[0].family.name == "Fe K"
    # sulphate's white line lies about 10 eV above the tabulated edge, so lead and others stay beside it
    assert likely_edges(2450.0, 2520.0, 2482.0)[0].family.name == "S K"


def test_a_range_without_edges_has_no_candidate():
    assert likely_edges(57.0, 57.1, None) == ()


def test_a_family_is_split_and_a_single_edge_or_an_unknown_name_is_not():
    assert split_ev("Fe L") == pytest.approx(13.1, abs=0.3)
    assert split_ev("Al K") == 0.0
    assert split_ev("Xx Q") == 0.0
    assert split_ev(None) == 0.0
