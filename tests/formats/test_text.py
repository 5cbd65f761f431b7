"""Delimited text of many layouts, with bytes invented here."""

from __future__ import annotations

import numpy as np
import pytest
from raw_files import ENERGY, I0, YIELD, angle, delimited, rows

from edgeshift.errors import UnreadableFile
from edgeshift.formats import text
from edgeshift.records.table import RawTable

THREE = np.array([[700.0, 10.0], [700.5, 12.0], [701.0, 11.0]])


def only(data: bytes | str) -> RawTable:
    (table,) = text.read("clay.dat", data.encode() if isinstance(data, str) else data)
    return table


def numbers(table: RawTable) -> np.ndarray:
    return np.column_stack([column.values for column in table.columns])


@pytest.mark.parametrize("marker", ["# ", "; ", "% ", "! ", "// ", "## ", ""])
def test_every_comment_style_gives_names_and_numbers(marker: str) -> None:
    table = only(f"{marker}Operator : the club\n{marker}energy  tey\n700 10\n700.5 12\n701 11\n")
    assert [column.name for column in table.columns] == ["energy", "tey"]
    assert table.header["operator"] == "the club"
    np.testing.assert_array_equal(numbers(table), THREE)


@pytest.mark.parametrize(
    "body",
    [
        "700 10\n700.5 12\n701 11\n",
        "700\t10\n700.5\t12\n701\t11\n",
        "700\t\t10\n700.5\t\t12\n701\t\t11\n",
        "700,10\n700.5,12\n701,11\n",
        "700, 10\n700.5, 12\n701, 11\n",
        "700;10\n700.5;12\n701;11\n",
        "700;10;\n700.5;12;\n701;11;\n",
        "700,0;10\n700,5;12\n701,0;11,0\n",
        "700,0\t10,0\n700,5\t12,0\n701,0\t11,0\n",
        "  7.000D+02  1.0D+01\n  7.005D+02  1.2D+01\n  7.010D+02  1.1D+01\n",
        "700 10\r\n700.5 12\r\n701 11\r\n",
        "700 10\r700.5 12\r701 11\r",
        "\n700 10\n\n700.5 12\n701 11\n\n",
    ],
)
def test_every_delimiter_decimal_mark_and_line_end_gives_the_same_numbers(body: str) -> None:
    np.testing.assert_array_equal(numbers(only(body)), THREE)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le", "utf-32", "latin-1"])
def test_byte_marks_and_encodings_are_understood(encoding: str) -> None:
    data = "# température : 20 °C\n# énergie tey\n700 10\n700.5 12\n701 11\n".encode(encoding)
    table = only(b"\xff\xfe" + data if encoding == "utf-16-le" else data)
    assert table.header["température"] == "20 °C"
    np.testing.assert_array_equal(numbers(table), THREE)


def test_a_file_without_header_says_that_no_line_names_the_columns() -> None:
    table = only("700 10\n700.5 12\n701 11\n")
    assert table.complaints == ("No line names the columns.",)
    assert [column.name for column in table.columns] == ["column 1", "column 2"]


def test_a_range_table_in_the_header_is_not_taken_for_data() -> None:
    for made in (delimited(), angle()):
        assert len(only(made).columns[0].values) == len(ENERGY)


def test_header_lines_are_kept_as_keys_or_remarks() -> None:
    table = only("# Start of this scan : 09:30:00\n# slit = 20\n# just words\n# -----\n# e a\n700 1\n701 2\n")
    assert table.header == {"start of this scan": "09:30:00", "slit": "20"}
    assert table.remarks == ("just words", "e a")


def test_labels_of_several_words_in_fixed_width_keep_their_words() -> None:
    wanted = ["Mono Energy *", "Time per point in s *", "Front", "Drain"]
    labels = "#" + "".join(f"{label:<22}" for label in wanted)
    table = only(f"# a banner\n{labels}\n" + rows(ENERGY, 0 * I0 + 1, I0, YIELD, separator="   "))
    assert [c.name for c in table.columns] == wanted


def test_short_names_are_replaced_by_the_list_that_explains_them() -> None:
    head = "; P1 = {Energy} --> x:E\n; D1 = {I0} --> x:c1\n; D2 = {Drain} --> x:c2\n;-----\n;  P1 D1 D2\n"
    table = only(head + rows(ENERGY, I0, YIELD))
    assert [c.name for c in table.columns] == ["Energy", "I0", "Drain"]


def test_a_list_of_column_fields_names_columns_and_units() -> None:
    head = "# Column.1: energy eV || x:E\n# Column.2: tey nA || x:c\n# -----\n"
    table = only(head + rows(ENERGY, YIELD))
    assert [(c.name, c.unit) for c in table.columns] == [("energy", "eV"), ("tey", "nA")]


def test_a_numbered_list_names_the_columns() -> None:
    table = only("# 1) Mono Energy\n# 2) Drain current\n#\n" + rows(ENERGY, YIELD))
    assert [c.name for c in table.columns] == ["Mono Energy", "Drain current"]


@pytest.mark.parametrize(
    ("label", "name", "unit"),
    [
        ("Energy (eV)", "Energy", "eV"),
        ("PE/eV", "PE", "eV"),
        ("Loss_eV", "Loss", "eV"),
        ("FY_c", "FY_c", None),
    ],
)
def test_units_inside_labels_are_told_apart(label: str, name: str, unit: str | None) -> None:
    first = only(f"{label},tey\n700,10\n700.5,12\n").columns[0]
    assert (first.name, first.unit) == (name, unit)


def test_a_name_that_comes_again_gets_its_number_added() -> None:
    assert [c.name for c in only("# e I1 I1\n700 1 2\n701 3 4\n702 5 7\n").columns] == ["e", "I1", "I1 #3"]


def test_a_damaged_row_is_left_out_and_named() -> None:
    table = only("# e a b\n700 1 2\n701 WORD 2\n702 1 2 3 4\n703 1 2\n704 1 3\n")
    np.testing.assert_array_equal(table.columns[0].values, [700, 703, 704])
    assert table.complaints == (
        "Line 3 does not fit the table, so it is left out.",
        "Line 4 does not fit the table, so it is left out.",
    )


def test_an_empty_cell_is_a_gap_and_is_named() -> None:
    table = only("e;a;b\n700;1;2\n701;;2\n702;1;2\n")
    assert np.isnan(table.columns[1].values[1])
    assert table.complaints == ("Line 3 holds a cell without a number.",)


@pytest.mark.parametrize("cell", ["nan", "inf", "1e400"])
def test_a_cell_that_is_no_finite_number_becomes_a_gap(cell: str) -> None:
    table = only(f"# e a\n700 1\n701 {cell}\n702 3\n703 4\n")
    assert np.isnan(table.columns[1].values[1])
    assert table.complaints == ("Line 3 holds a cell without a number.",)


def test_an_underscore_does_not_make_a_number() -> None:
    table = only("# e a\n700 1\n701 1_000\n702 3\n703 4\n")
    assert "Line 3 does not fit" in table.complaints[0]


def test_a_cut_last_line_is_left_out_aloud() -> None:
    whole = rows(ENERGY, I0, YIELD)
    missing_column = only(whole + "1610.0  400")
    assert "the last, is cut short" in missing_column.complaints[-1]
    missing_digits = only(("# e a b\n" + whole)[:-3])
    assert missing_digits.complaints == ("Line 121, the last, has no end and is short, so it is left out.",)
    assert len(missing_digits.columns[0].values) == len(ENERGY) - 1


def test_a_comment_between_regions_does_not_end_the_table() -> None:
    table = only("# e a\n700 1\n701 2\n702 3\n# region 2\n703 4\n704 5\n")
    np.testing.assert_array_equal(table.columns[0].values, [700, 701, 702, 703, 704])


def test_scans_one_after_the_other_become_entries() -> None:
    one = "# scan {}\n# e a\n700 1\n701 2\n702 3\n703 2\n"
    tables = text.read("clay.dat", (one.format(1) + one.format(2)).encode())
    assert [table.entry for table in tables] == ["block 1", "block 2"]
    assert all(len(table.columns[0].values) == 4 and table.columns[1].name == "a" for table in tables)


@pytest.mark.parametrize("separator", [" ", "\t", ",", ";"])
def test_a_column_of_clock_times_is_set_apart_aloud(separator: str) -> None:
    names = separator.join(("clock", "energy", "tey"))
    lines = [separator.join((f"09:30:{k:02d}", f"{700 + k / 2}", f"{10 + k}")) for k in range(8)]
    table = only("\n".join((names, *lines, "")))
    assert [column.name for column in table.columns] == ["clock", "energy", "tey"]
    np.testing.assert_array_equal(table.columns[1].values, 700 + np.arange(8) / 2)
    assert table.complaints == ("Column 1 holds no numbers.",)


def test_lines_after_the_numbers_are_kept() -> None:
    assert only("# e a\n700 1\n701 2\n702 3\n# ring = 1.7 GeV\n").header["ring"] == "1.7 GeV"


def test_the_numbers_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        only("700 10\n701 12\n").columns[0].values[0] = 1


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "found an empty file"),
        (b" \r\n\n", "found a file of blanks only"),
        (b"\x00\x01\x02\x03" * 100, "found binary bytes"),
        (b'{"title": "clay", "points": [1, 2, 3]}', "found JSON text"),
        (b"<html><body>700 10</body></html>", "found XML or a web page"),
        (b"dear diary\nno numbers today\n", "found no such rows"),
        (b"700\n701\n702\n", "found no such rows"),
    ],
)
def test_what_is_no_table_is_refused_in_one_sentence(data: bytes, found: str) -> None:
    with pytest.raises(UnreadableFile, match=found):
        text.read("clay.dat", data)


def test_a_damaged_row_under_the_header_is_named_like_any_other() -> None:
    lines = [f"{700 + k / 2} {10 + k}" for k in range(100)]
    for row in (0, 30, 60, 90):
        lines[row] += " 5"
    table = only("# energy tey\n" + "\n".join(lines) + "\n")
    named = [f"Line {k} does not fit the table, so it is left out." for k in (2, 32, 62, 92)]
    assert [said for said in table.complaints if "does not fit" in said] == named
    assert [column.name for column in table.columns] == ["energy", "tey"]


def test_a_line_of_settings_above_the_numbers_is_no_damaged_row() -> None:
    table = only("3 1 100\nOffset 0\n" + "".join(f"{700 + k / 2} {10 + k}\n" for k in range(20)))
    assert not any("does not fit" in said for said in table.complaints)
