"""Which column is what: a proposal from names and numbers, with every doubt said aloud.

Nothing is decided here. A proposal is `certain` only when names and numbers agree and leave no choice
of columns; everything else is for a person to confirm in the beamline profile.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from edgeshift.errors import NotAScan
from edgeshift.formats import header_facts
from edgeshift.formats.channel_proposal import DETECTORS, Findings, find_channels
from edgeshift.formats.column_facts import LEAST_EV, MOST_EV, SPLIT_ACT, direction, is_axis, turning, within
from edgeshift.formats.column_roles import is_read_back, role_of, words_of
from edgeshift.recipe.beamline import BeamlineProfile, EnergyColumn, PlacePatterns
from edgeshift.records.table import Column, RawTable
from edgeshift.wording.numbers import plain

LEAST_POINTS = 5
MOST_COLUMNS = 300
ABSORPTION_SIGNALS = ("", "els", "xas")
"""EMSA/MAS signal types that can hold an edge as absorption shows it; the others are emission."""
NOT_ENERGY_UNITS = {"mm", "um", "nm", "m", "s", "sec", "ms", "k", "counts", "pixel", "v", "a", "na", "pa"}


@dataclass(frozen=True)
class Proposal:
    """A profile part (energy, channels, signal, dwell), the doubts, and the role of every column in words."""

    profile: BeamlineProfile
    doubts: tuple[str, ...]
    roles: Mapping[str, str]
    certain: bool


def propose(table: RawTable) -> Proposal:
    """What each column seems to be.

    Raises NotAScan for a table that is no absorption scan: too few points, an image, no column that
    could be an energy, energies at or below zero (a loss spectrum), an emission spectrum.
    """
    _refuse_other_tables(table)
    roles = {column.name: role_of(column.name) for column in table.columns}
    if table.format == "nexus":
        # The definition itself says that a field of this name is the spectrum.
        roles = {name: "absorption" if role == "intensity" else role for name, role in roles.items()}
    findings = Findings(roles=dict.fromkeys(roles, "not used"))
    energy = _energy(table, roles, findings)
    findings.roles[energy.column] = f"energy in {energy.unit}"
    channels, signal = find_channels(table, {**roles, energy.column: "energy"}, findings)
    if "No line names the columns." in table.complaints:
        findings.doubt("No line names the columns, so a person must say which is which.")
    if table.format == "emsa":
        findings.doubt("The energy axis is not tied to anything; only differences along it count.")
    profile = BeamlineProfile(
        energy=energy,
        channels=channels,
        signal=signal,
        dwell_column=_time_column(table, roles, findings, "time on each point"),
        clock_column=_time_column(table, roles, findings, "seconds since the start"),
        start_key=header_facts.first_key(table, header_facts.START_KEYS),
        end_key=header_facts.first_key(table, header_facts.END_KEYS),
        place=PlacePatterns(specimen_key=header_facts.first_key(table, header_facts.SPECIMEN_KEYS)),
    )
    return Proposal(profile, tuple(findings.said), findings.roles, findings.certain and bool(channels))


def _refuse_other_tables(table: RawTable) -> None:
    points = len(table.columns[0].values) if table.columns else 0
    if points < LEAST_POINTS:
        needed, found = f"at least {LEAST_POINTS} points", f"{points}"
        raise NotAScan(table.file, needed, found, "Take the file of the whole scan.")
    if len(table.columns) > MOST_COLUMNS:
        found = f"a grid of {points} by {len(table.columns)} numbers"
        raise NotAScan(table.file, "the columns of one scan", found, "Take single scans.")
    kind = table.header.get("signaltype", "").lower() if table.format == "emsa" else ""
    if kind not in ABSORPTION_SIGNALS:
        raise NotAScan(
            table.file, "an absorption scan", f"a spectrum of type {kind.upper()}", "Leave it out."
        )


def _energy(table: RawTable, roles: Mapping[str, str | None], findings: Findings) -> EnergyColumn:
    named = [column for column in table.columns if roles[column.name] == "energy"]
    angles = [column for column in table.columns if roles[column.name] == "angle"]
    if named:
        return _named_energy(table, named, findings)
    if angles and within(angles[0].values, 0.5, 89.5):
        return _angle(table, angles, findings)
    for column in table.columns:
        unit = (column.unit or "").lower()
        free = roles[column.name] is None and unit not in NOT_ENERGY_UNITS
        if free and is_axis(column.values) and within(column.values, LEAST_EV, MOST_EV):
            findings.question(f"No name says which column is the energy; '{column.name}' could be it.")
            return EnergyColumn(column=column.name, unit="eV")
    raise _no_energy(table, roles)


def _no_energy(table: RawTable, roles: Mapping[str, str | None]) -> NotAScan:
    """What is missing: a column of such numbers at all, or what speaks against the first that has them."""
    act = "No edge is in it as it stands: leave it out, or name the energy column."
    free = (c for c in table.columns if roles[c.name] not in DETECTORS)
    column = next((c for c in free if within(c.values, LEAST_EV, MOST_EV)), None)
    if column is None:
        needed = f"a column of energies between {LEAST_EV:.0f} and {MOST_EV:.0f} eV"
        return NotAScan(table.file, needed, _span(table.columns[0]), act)
    found = _span(column)
    if roles[column.name] is not None:
        return NotAScan(table.file, "a column named as an energy", f"{found}, named otherwise", act)
    if (column.unit or "").lower() in NOT_ENERGY_UNITS:
        return NotAScan(table.file, "a column in eV, keV or degrees", found, act)
    turns = turning(column.values)
    if turns:
        return NotAScan(table.file, "energies that only rise or only fall", f"{found}, {turns}", SPLIT_ACT)
    return NotAScan(table.file, "energies that rise or fall", f"{found}, standing still", act)


def _span(column: Column) -> str:
    numbers = column.values[np.isfinite(column.values)]
    if not numbers.size:
        return f"no numbers in '{column.name}'"
    low, high = plain(float(numbers.min())), plain(float(numbers.max()))
    return f"'{column.name}' from {low} to {high} {column.unit or ''}".rstrip()


def _named_energy(table: RawTable, named: list[Column], findings: Findings) -> EnergyColumn:
    usable = [c for c in named if _energy_unit(c) and (c.unit or "").lower() not in NOT_ENERGY_UNITS]
    if not usable:
        needed = f"energies between {LEAST_EV:.0f} and {MOST_EV:.0f} eV"
        raise NotAScan(
            table.file,
            needed,
            _span(named[0]),
            "No edge is in it: it may be a loss spectrum or a mirror scan. Leave it out.",
        )
    column = next((c for c in usable if is_read_back(c.name)), usable[0])
    if len(usable) > 1:
        findings.doubt(f"{len(usable)} columns look like energies; '{column.name}' is proposed.")
        findings.certain &= all(
            np.allclose(c.values, column.values, rtol=1e-3, equal_nan=True) for c in usable
        )
    if "loss" in words_of(column.name):
        findings.question("These are energy losses of electrons, an axis that is not tied.")
    if direction(column.values) == "mixed":
        findings.question(f"The energies in '{column.name}' {turning(column.values)}. {SPLIT_ACT}")
    if not is_axis(column.values) and direction(column.values) != "mixed":
        raise NotAScan(
            table.file, "energies that rise or fall", f"'{column.name}' standing still", "Leave it out."
        )
    unit = _energy_unit(column)
    if unit == "keV" and (column.unit or "").lower() != "kev":
        findings.question(f"'{column.name}' gives no unit; its numbers look like keV.")
    return EnergyColumn(column=column.name, unit=unit)


def _energy_unit(column: Column) -> str | None:
    """eV or keV, by the file's word and the size of the numbers; None where neither fits."""
    said = (column.unit or "").lower()
    if said != "kev" and within(column.values, LEAST_EV, MOST_EV):
        return "eV"
    if said in ("", "kev") and within(column.values, LEAST_EV / 1000, MOST_EV / 1000):
        return "keV"
    return None


def _angle(table: RawTable, angles: list[Column], findings: Findings) -> EnergyColumn:
    column = next((c for c in angles if is_read_back(c.name)), angles[0])
    spacing = header_facts.d_spacing_angstrom(table)
    if len(angles) > 1:
        findings.doubt(f"{len(angles)} columns are angles; '{column.name}' is proposed.")
        findings.certain &= all(
            np.allclose(c.values, column.values, rtol=1e-2, equal_nan=True) for c in angles
        )
    if spacing is None:
        findings.question("The energy is an angle; its crystal spacing is nowhere in the header: type it in.")
    else:
        findings.doubt(f"The energy is an angle; the header gives a crystal spacing of {spacing} Å.")
    return EnergyColumn(column=column.name, unit="deg", d_spacing_angstrom=spacing)


def _time_column(
    table: RawTable, roles: Mapping[str, str | None], findings: Findings, words: str
) -> str | None:
    """The first column named for a time that is of this kind: counting times, or a running clock."""
    for column in table.columns:
        if roles[column.name] != "time" or not np.isfinite(column.values).all():
            continue
        clock = _clocklike(column.values)
        if clock == (words == "seconds since the start") and (clock or within(column.values, 1e-4, 3600.0)):
            findings.roles[column.name] = words
            return column.name
    return None


def _clocklike(values: np.ndarray) -> bool:
    """Seconds since the start: strictly rising, and by much more than counting times differ."""
    return bool(np.all(np.diff(values) > 0)) and float(np.ptp(values)) > 5 * abs(float(values[0]))
