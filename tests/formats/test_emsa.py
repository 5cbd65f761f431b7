"""EMSA/MAS: pairs and single values, undefined units, and energies that nobody tied."""

from __future__ import annotations

import numpy as np
import pytest
from raw_files import ENERGY, YIELD
from raw_files import emsa as good_file

from edgeshift.errors import FileRefused, UnreadableFile
from edgeshift.formats import emsa
from edgeshift.records.table import RawTable

GOOD = good_file().decode()


def only(text: str) -> RawTable:
    (table,) = emsa.read("clay.msa", text.encode())
    return table


def test_pairs_are_read_with_their_units() -> None:
    table = only(GOOD)
    assert [(c.name, c.unit) for c in table.columns] == [("energy", "eV"), ("intensity", None)]
    np.testing.assert_array_equal(table.columns[1].values, YIELD)


def test_an_electron_loss_file_says_that_its_energies_are_not_calibrated() -> None:
    assert only(GOOD).complaints == (emsa.LOSS,)
    assert only(GOOD.replace("ELS", "")).complaints == (emsa.UNTIED,)


def test_single_values_get_their_energies_from_first_and_step() -> None:
    head = GOOD.split("#SPECTRUM")[0].replace("DATATYPE    : XY", "DATATYPE    : Y")
    head = head.replace("NPOINTS     : 120", "NPOINTS     : 6").replace("ELS", "")
    table = only(head + "#SPECTRUM    : here\r\n1, 2, ,\r\n4 5\r\n6\r\n#ENDOFDATA   : \r\n")
    np.testing.assert_array_equal(table.columns[0].values, [1550, 1550.5, 1551, 1551.5, 1552])
    np.testing.assert_array_equal(table.columns[1].values, [1, 2, 4, 5, 6])
    assert table.complaints[-1] == "The header promises 6 points, the file holds 5."


def test_an_empty_value_keeps_its_energy() -> None:
    head = GOOD.split("#SPECTRUM")[0].replace("DATATYPE    : XY", "DATATYPE    : Y")
    table = only(head + "#SPECTRUM    : here\r\n1, , 3\r\n#ENDOFDATA   : \r\n")
    np.testing.assert_array_equal(table.columns[1].values, [1, np.nan, 3])


def test_a_missing_end_mark_and_missing_points_are_named() -> None:
    cut = only("\r\n".join(GOOD.split("\r\n")[:100]))
    assert any("may be half written" in said for said in cut.complaints)
    assert any("promises 120 points" in said for said in cut.complaints)


def test_writing_and_reading_again_gives_the_same_numbers() -> None:
    once = only(GOOD)
    again = only(emsa.write(once).decode())
    np.testing.assert_array_equal(again.columns[0].values, ENERGY)
    np.testing.assert_array_equal(again.columns[1].values, once.columns[1].values)
    assert again.header == once.header


def test_a_gap_is_not_written() -> None:
    table = only(GOOD)
    gap = np.full(len(ENERGY), np.nan)
    columns = (table.columns[0], type(table.columns[1])("intensity", gap))
    with pytest.raises(FileRefused, match="needed two full columns"):
        emsa.write(RawTable("clay.msa", "emsa", columns))


@pytest.mark.parametrize(
    ("text", "needed"),
    [
        ("#FORMAT : EMSA/MAS Spectral Data File\n700, 1\n", "a line '#SPECTRUM' before the data"),
        ("#FORMAT : EMSA/MAS\n#SPECTRUM : x\n700\n701\n", "pairs of numbers"),
        ("#FORMAT : EMSA/MAS\n#DATATYPE : Y\n#SPECTRUM : x\n700\n", "an OFFSET and an XPERCHAN"),
    ],
)
def test_a_file_without_its_numbers_is_refused(text: str, needed: str) -> None:
    with pytest.raises(UnreadableFile, match=needed):
        emsa.read("clay.msa", text.encode())
