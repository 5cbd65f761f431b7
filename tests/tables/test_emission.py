"""Emission lines by element and edge, each with its sources."""

from __future__ import annotations

from edgeshift.tables.edges import edge_named
from edgeshift.tables.emission import emission_lines, main_line
from edgeshift.tables.emission_values import ROWS


def test_a_line_lies_below_the_edge_that_it_follows():
    for element, name, shell, first, second, *_ in ROWS:
        edge = edge_named(f"{element} {shell}").edges[0]
        assert max(each for each in (first, second) if each) < edge.high_ev + 3.0, (element, name)


def test_the_main_line_of_an_edge_comes_with_both_sources():
    line = main_line("Al K")
    assert line.name == "Ka1" and [each.value for each in line.energies] == [1486.5, 1486.9]
    assert main_line("Fe L").name == "La1"


def test_calcium_has_no_filled_third_shell_so_a_weaker_line_stands_for_its_edge():
    assert main_line("Ca L").name == "Ll"


def test_an_element_without_lines_has_none():
    assert emission_lines("H") == ()
    assert main_line("C M") is None
