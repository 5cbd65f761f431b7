"""Spacing, element and edge from headers that name them in different ways."""

from __future__ import annotations

import pytest

from edgeshift.formats import header_facts
from edgeshift.records.table import RawTable


@pytest.mark.parametrize(
    ("header", "remarks", "spacing"),
    [
        ({"mono.d_spacing": "3.13553"}, (), 3.13553),
        ({"instrument.monochromator.crystal.d_spacing": "3.13550"}, (), 3.1355),
        ({"mono": "quartz  D=  4.25540 A   angle= 13.9 deg"}, (), 4.2554),
        ({}, ("crystal d = 4.2554 Å",), 4.2554),
        ({"mono.invalid_d_spacing_name": "3.1"}, (), None),
        ({"mono.d_spacing": "unknown"}, (), None),
        ({"mono.d_spacing": "3135.5"}, (), None),
        ({"slit": "width = 4.25 mm, 2d = 8.5108 A"}, (), None),
    ],
)
def test_a_possible_spacing_is_found(header: dict, remarks: tuple, spacing: float | None) -> None:
    assert header_facts.d_spacing_angstrom(RawTable("clay", "text", (), header, remarks)) == spacing


@pytest.mark.parametrize(
    ("header", "edge"),
    [
        ({"element.symbol": "Al", "element.edge": "K"}, "Al K"),
        ({"element.symbol": "fe", "edge.name": "l3"}, "Fe L3"),
        ({"scanparameters.element": "V", "scanparameters.edge": "K"}, "V K"),
        ({"element.symbol": "Al"}, None),
        ({"element.symbol": "Foo", "element.edge": "K"}, None),
    ],
)
def test_the_edge_needs_a_known_element_and_a_known_edge(header: dict, edge: str | None) -> None:
    assert header_facts.edge_name(RawTable("clay", "text", (), header)) == edge
