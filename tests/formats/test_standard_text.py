"""A standard and its ties, to an XDI file and back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from edgeshift.errors import UnreadableFile
from edgeshift.formats import standard_text, xdi
from edgeshift.records.standard import EnergyTie, Standard

ENERGY = np.linspace(700.0, 730.0, 60)
TIES = (
    EnergyTie(0.35, 0.05, "N2 gas | as published", "2026-03-01T08:00:00.000Z"),
    EnergyTie(-0.1, 0.02, "own foil", "2026-04-01T08:00:00.000Z"),
)
ONE = Standard("goethite", "Fe L", ENERGY, np.sin(ENERGY), "practice, March", TIES, ("from scan-001",))


def test_what_is_written_is_what_is_read():
    (table,) = xdi.read("goethite.xdi", xdi.write(standard_text.to_table(ONE, "goethite.xdi")))
    back = standard_text.from_table(table)
    np.testing.assert_array_equal(back.energy_ev, ONE.energy_ev)
    np.testing.assert_array_equal(back.value, ONE.value)
    assert (back.name, back.edge, back.axis, back.ties, back.remarks) == (
        ONE.name, ONE.edge, ONE.axis, ONE.ties, ONE.remarks,
    )  # fmt: skip
    assert back.sigma_ev == 0.02
    assert not table.complaints


def written(**changes):
    table = standard_text.to_table(ONE, "goethite.xdi")
    return replace(table, header={**table.header, **changes})


def test_a_file_that_the_shelf_did_not_write_is_refused():
    foreign = written()
    del foreign.header["edgeshift.axis"]
    with pytest.raises(
        UnreadableFile, match="needed an entry of the shelf, found an XDI file without our fields"
    ):
        standard_text.from_table(foreign)


def test_a_tie_that_cannot_be_read_is_refused_and_never_passed_over():
    with pytest.raises(UnreadableFile, match="needed a tie as '.*', found 'about a third'"):
        standard_text.from_table(written(**{"edgeshift.tie_2": "about a third"}))


@pytest.mark.parametrize("energy", [ENERGY[::-1], np.where(ENERGY > 720, np.nan, ENERGY)])
def test_energies_that_fall_or_lack_are_refused(energy):
    with pytest.raises(UnreadableFile, match="rising energies"):
        standard_text.from_table(standard_text.to_table(replace(ONE, energy_ev=energy), "x.xdi"))


def test_too_few_points_are_refused():
    few = replace(ONE, energy_ev=ENERGY[:9], value=ONE.value[:9])
    with pytest.raises(UnreadableFile, match="needed 20 points, found 9"):
        standard_text.from_table(standard_text.to_table(few, "x.xdi"))
