"""What is in a raw file: columns, ranges, guesses and doubts. Nothing is taken and nothing is decided."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.records.table import Column, RawTable

SPACING_WANTED = "# type the crystal spacing in Å before the }"


@dataclass(frozen=True)
class ColumnSeen:
    """One column: its name, the file's word for its unit, its range, and what it is guessed to be.

    `low` and `high` are None where the column holds no number; `missing` counts rows without one.
    """

    name: str
    unit: str | None
    low: float | None
    high: float | None
    missing: int
    guess: str | None


@dataclass(frozen=True)
class EntrySeen:
    """One entry of a file. `certain` says that `take` would accept the guesses without asking.

    `profile_text` is the proposal as YAML, to be pasted into `experiment.yaml`; `doubts` speak of the
    guesses, `complaints` of the file itself. `not_a_scan` says why a table is none, where that is so.
    """

    file: str
    format: str
    entry: str | None
    rows: int
    columns: tuple[ColumnSeen, ...]
    complaints: tuple[str, ...]
    certain: bool = False
    doubts: tuple[str, ...] = ()
    profile_text: str = ""
    not_a_scan: str = ""


def look(file: str, data: bytes) -> tuple[EntrySeen, ...]:
    """Every entry of one raw file. Raises FileRefused where the bytes are no table of numbers."""
    from edgeshift.formats.recognise import tables

    return tuple(_entry(table) for table in tables(file, data))


def _entry(table: RawTable) -> EntrySeen:
    from edgeshift.errors import NotAScan
    from edgeshift.formats.proposal import propose

    try:
        proposal = propose(table)
    except NotAScan as refusal:
        return _seen(table, {}, not_a_scan=f"Needed {refusal.needed}, found {refusal.found}.")
    return _seen(
        table,
        proposal.roles,
        certain=proposal.certain,
        doubts=tuple(proposal.doubts),
        profile_text=profile_as_text(proposal.profile),
    )


def _seen(table: RawTable, roles: Mapping[str, str], **more) -> EntrySeen:
    return EntrySeen(
        file=table.file,
        format=table.format,
        entry=table.entry,
        rows=len(table.columns[0].values) if table.columns else 0,
        columns=tuple(_column(column, roles.get(column.name)) for column in table.columns),
        complaints=table.complaints,
        **more,
    )


def _column(column: Column, guess: str | None) -> ColumnSeen:
    numbers = column.values[np.isfinite(column.values)]
    low, high = (float(numbers.min()), float(numbers.max())) if numbers.size else (None, None)
    return ColumnSeen(column.name, column.unit, low, high, column.values.size - numbers.size, guess)


def profile_as_text(profile: BeamlineProfile) -> str:
    """A beamline profile as the YAML lines that stand under `beamline:` in an experiment text."""
    from textwrap import indent

    from edgeshift.formats.experiment_text import dump

    text = "beamline:\n" + indent(dump(profile), "  ")
    if profile.energy and profile.energy.unit == "deg" and profile.energy.d_spacing_angstrom is None:
        return text.replace("unit: deg}", f"unit: deg, d_spacing_angstrom: }}  {SPACING_WANTED}", 1)
    return text
