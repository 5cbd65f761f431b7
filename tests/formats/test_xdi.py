"""XDI 1.0: lenient reading with named complaints, strict writing, nothing lost on the way round.

Rules of the format: XDI/1.0 specification, as listed in its dictionary of metadata and its grammar.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from raw_files import xdi as good_file

from edgeshift.errors import FileRefused, UnreadableFile
from edgeshift.formats import xdi
from edgeshift.records.table import RawTable

GOOD = good_file().decode()


def only(text: str) -> RawTable:
    (table,) = xdi.read("clay.xdi", text.encode())
    return table


def test_a_good_file_is_read_without_complaint() -> None:
    table = only(GOOD)
    assert table.complaints == ()
    assert [(c.name, c.unit) for c in table.columns] == [
        ("energy", "eV"),
        ("i0", "counts"),
        ("itrans", "counts"),
    ]
    assert table.header["element.symbol"] == "Al"
    assert table.remarks == ("dried on the beach",)


@pytest.mark.parametrize(
    ("old", "new", "complaint"),
    [
        ("# Element.edge: K\n", "", "The file does not name the edge."),
        ("edge: K", "edge: Foo", "'Foo' is no edge that the standard knows."),
        ("symbol: Al", "symbol: Qq", "'Qq' is no element that the standard knows."),
        ("#----\n", "", "The line of dashes that ends the header is missing."),
        ("# Column.3: itrans counts\n", "", "No field names column 3."),
        ("Column.3", "Column.7", "A field names column 7, but there are 3."),
        ("Column.1: energy eV", "Column.1: energy", "The first column has no unit."),
        ("Column.1: energy", "Column.1: Energie", "a name the standard does not know"),
        ("Column.1: energy eV", "Column.1: angle degrees", "no crystal spacing is given"),
        ("Club.kiln: pit", "Club.kiln:", "the field Club.kiln is empty"),
        ("Club.kiln: pit", "Club:kiln: pit", "is no 'Family.name: value' field"),
        ("Club.kiln: pit", "Club.kiln.wall: pit", "is no 'Family.name: value' field"),
        ("Club.kiln: pit", "2Club.kiln: pit", "is no 'Family.name: value' field"),
        ("2026-05-01T", "2026-May-01 ", "is no ISO 8601 time"),
        ("Club.kiln: pit", "Facility.energy: 7.00 lots of units", "The field facility.energy gives no unit."),
        ("XDI/1.0", "XDI/1.12", "The version '1.12' is unknown"),
        ("1551", "WORD", "does not fit the table"),
    ],
)
def test_every_departure_is_named(old: str, new: str, complaint: str) -> None:
    assert old in GOOD
    assert any(complaint in said for said in only(GOOD.replace(old, new)).complaints)


def test_names_are_case_blind_and_the_last_of_equal_fields_counts() -> None:
    table = only(GOOD.replace("# Club.kiln: pit", "# bEAmlINe.naME: first\n# Beamline.Name: second"))
    assert table.header["beamline.name"] == "second"


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_other_line_ends_are_read_alike(end: str) -> None:
    assert only(GOOD.replace("\n", end)).header == only(GOOD).header


def test_writing_and_reading_again_keeps_everything() -> None:
    odd = GOOD.replace("XDI/1.0 CLUB/0.1", "XDI/1.7 CLUB/0.1 KILN/3")
    odd = odd.replace("Column.2: i0 counts", "Column.2: i0 counts || x:c1")
    once = only(odd)
    again = only(xdi.write(once).decode())
    assert again.header == once.header
    assert again.remarks == once.remarks
    assert again.complaints == once.complaints
    for one, other in zip(once.columns, again.columns, strict=True):
        assert (one.name, one.unit) == (other.name, other.unit)
        np.testing.assert_array_equal(one.values, other.values)


def test_writing_twice_gives_the_same_bytes() -> None:
    written = xdi.write(only(GOOD))
    assert xdi.write(only(written.decode())) == written


@pytest.mark.parametrize(
    ("old", "new", "needed"),
    [
        ("# Element.symbol: Al\n", "", "needed the field element.symbol"),
        ("energy eV", "energy", "needed a unit for the first column"),
        ("energy eV", "angle deg", "needed the field mono.d_spacing"),
        ("1550  ", "1550  nan  ", "needed"),
        ("2026-05-01T", "2026-May-01 ", "needed an ISO 8601 time for scan.start_time"),
    ],
)
def test_what_the_standard_forbids_is_not_written(old: str, new: str, needed: str) -> None:
    table = only(GOOD.replace(old, new, 1))
    if "nan" in new:
        gap = np.array(table.columns[1].values)
        gap[3] = np.nan
        table = replace(table, columns=(table.columns[0], replace(table.columns[1], values=gap)))
    with pytest.raises(FileRefused, match=needed):
        xdi.write(table)


@pytest.mark.parametrize(
    "text", ["# XDI/1.0\n# Column.1: energy eV\n", "700 1\n701 2\n", "# XDI/1.0\nno numbers\n"]
)
def test_a_header_without_numbers_is_refused(text: str) -> None:
    with pytest.raises(UnreadableFile, match="needed"):
        xdi.read("clay.xdi", text.encode())


def test_a_field_for_a_column_that_is_not_there_is_kept_on_the_way_round() -> None:
    rows = "".join(f"{700 + k} {k}\n" for k in range(6))
    head = "# XDI/1.0\n# Element.symbol: Fe\n# Element.edge: L3\n# Column.1: energy eV\n# Column.2: i0\n"
    (first,) = xdi.read("a.xdi", (head + "# Column.7: itrans\n#----\n# energy i0\n" + rows).encode())
    (again,) = xdi.read("a.xdi", xdi.write(first))
    assert again.header["column.7"] == "itrans"
    assert again.complaints == first.complaints
