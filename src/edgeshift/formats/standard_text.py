"""A standard as an XDI table and back. Its ties stand in fields of our own, as the standard allows:
`Edgeshift.axis`, `Edgeshift.tie_1: +0.35 eV | 0.05 eV | 2026-03-01T08:00:00Z | N2 gas, 400.8 eV`."""

from __future__ import annotations

import re

import numpy as np

from edgeshift.errors import UnreadableFile
from edgeshift.records.standard import EnergyTie, Standard
from edgeshift.records.table import Column, RawTable

TIE = re.compile(r"([+-]?[\d.eE+-]+) eV \| ([\d.eE+-]+) eV \| (\S+) \| (.+)")
MAKER = "edgeshift/1"
FEWEST_POINTS = 20


def to_table(standard: Standard, file: str) -> RawTable:
    """The table that `xdi.write` takes."""
    element, shell = standard.edge.split()
    header = {
        "xdi.extras": MAKER,
        "element.symbol": element,
        "element.edge": shell,
        "sample.name": standard.name,
        "edgeshift.axis": standard.axis,
    }
    for number, tie in enumerate(standard.ties, start=1):
        source = " ".join(tie.source.split())
        header[f"edgeshift.tie_{number}"] = (
            f"{tie.shift_ev:+.6g} eV | {tie.sigma_ev:.6g} eV | {tie.time} | {source}"
        )
    columns = (Column("energy", standard.energy_ev, "eV"), Column("absorption", standard.value, "ratio"))
    return RawTable(file, "xdi", columns, header, standard.remarks)


def from_table(table: RawTable) -> Standard:
    """The standard in a table. Raises UnreadableFile where it was not written by `shelf add`, its energies
    do not rise or a tie cannot be read."""

    def refuse(needed: str, found: str) -> UnreadableFile:
        return UnreadableFile(table.file, needed, found, "Put it there anew with: edgeshift shelf add.")

    header = table.header
    energy, value = table.column("energy"), table.column("absorption")
    if "edgeshift.axis" not in header or energy is None or value is None:
        raise refuse("an entry of the shelf", "an XDI file without our fields")
    if len(energy.values) < FEWEST_POINTS:
        raise refuse(f"{FEWEST_POINTS} points", str(len(energy.values)))
    finite = np.isfinite(energy.values).all() and np.isfinite(value.values).all()
    if not finite or not np.all(np.diff(energy.values) > 0):
        raise refuse("rising energies and a number in every cell", "others")
    return Standard(
        header.get("sample.name", ""),
        f"{header.get('element.symbol', '')} {header.get('element.edge', '')}",
        energy.values,
        value.values,
        header["edgeshift.axis"],
        _ties(table, refuse),
        table.remarks,
    )


def _ties(table: RawTable, refuse) -> tuple[EnergyTie, ...]:
    found = {}
    for key, text in table.header.items():
        number = re.fullmatch(r"edgeshift\.tie_(\d+)", key)
        if number:
            parts = TIE.fullmatch(text)
            if not parts:
                raise refuse("a tie as '+0.35 eV | 0.05 eV | time | source'", repr(text))
            found[int(number[1])] = EnergyTie(float(parts[1]), float(parts[2]), parts[4], parts[3])
    return tuple(found[number] for number in sorted(found))
