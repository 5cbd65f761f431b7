"""A standard as an XDI table and back. Its ties stand in fields of our own, as the standard allows:
`Edgeshift.axis`, `Edgeshift.tie_1: +0.35 eV | 0.05 eV | 2026-03-01T08:00:00Z | N2 gas, 400.8 eV`. So do the
files that it was made of: `Source_1.file`, `Source_1.sha256` and what they said, as
`Source_1.field_1: mono.d_spacing: 3.1356`."""

from __future__ import annotations

import re

import numpy as np

from edgeshift.errors import UnreadableFile
from edgeshift.records.standard import EnergyTie, Source, Standard
from edgeshift.records.table import Column, RawTable

TIE = re.compile(r"([+-]?[\d.eE+-]+) eV \| ([\d.eE+-]+) eV \| (\S+) \| (.+)")
SOURCE = re.compile(r"source_(\d+)\.(file|sha256|field_\d+)")
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
    for number, source in enumerate(standard.sources, start=1):
        header |= _source_fields(f"source_{number}", source)
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
        _sources(table),
    )


def _source_fields(family: str, source: Source) -> dict[str, str]:
    """A source's fields under a family of their own, numbered, since not every format's names are XDI's."""
    said = (": ".join(each) for each in source.fields.items())
    told = {f"{family}.field_{number}": text for number, text in enumerate(said, start=1)}
    return {f"{family}.file": source.file, f"{family}.sha256": source.sha256, **told}


def _sources(table: RawTable) -> tuple[Source, ...]:
    found: dict[int, dict[str, str]] = {}
    for key, text in table.header.items():
        part = SOURCE.fullmatch(key)
        if part:
            found.setdefault(int(part[1]), {})[part[2]] = text
    return tuple(_source(found[number]) for number in sorted(found))


def _source(told: dict[str, str]) -> Source:
    numbered = sorted((int(key[6:]), text) for key, text in told.items() if key.startswith("field_"))
    parted = (text.partition(":") for _, text in numbered)
    fields = {name: said.removeprefix(" ") for name, _, said in parted}
    return Source(told.get("file", ""), told.get("sha256", ""), fields)


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
