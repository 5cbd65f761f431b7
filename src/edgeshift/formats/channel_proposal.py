"""Which columns are detectors: beam in front, yields, transmitted beam, reference, ready-made absorption."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import permutations

import numpy as np

from edgeshift.formats.column_facts import clearness, only_noise, whole, why_dead, within
from edgeshift.formats.column_roles import is_corrected, line_element, stem
from edgeshift.formats.header_facts import element
from edgeshift.recipe.beamline import ChannelColumns
from edgeshift.records.table import Column, RawTable

UNITS = {
    **dict.fromkeys(("counts", "count", "cts"), ("counts", 1.0)),
    **dict.fromkeys(("cps", "counts/s", "hz"), ("counts/s", 1.0)),
    **{f"{prefix}v": ("V", factor) for prefix, factor in (("", 1.0), ("m", 1e-3), ("u", 1e-6))},
    **{
        f"{prefix}a": ("A", 10.0**-power)
        for prefix, power in zip(("", *"munpf"), range(0, 18, 3), strict=True)
    },
}
"""A file's unit as the profile's unit and the factor to it."""
SIGNALS = ("electron-yield", "fluorescence", "transmitted", "absorption")
DETECTORS = ("i0", *SIGNALS, "reference")
SAME = 1e-6
SAME_CORRECTION = 1e-3
MOST_SEARCHED = 12


@dataclass
class Findings:
    """What a proposal collects on its way: roles in words, sentences, and whether a choice was open."""

    roles: dict[str, str]
    said: list[str] = field(default_factory=list)
    certain: bool = True

    def doubt(self, sentence: str) -> None:
        """Something a person should know; it leaves no column open."""
        self.said.append(sentence)

    def question(self, sentence: str) -> None:
        """Something a person must confirm."""
        self.said.append(sentence)
        self.certain = False


def find_channels(
    table: RawTable, named: Mapping[str, str | None], findings: Findings
) -> tuple[tuple[ChannelColumns, ...], str | None]:
    """The detectors to take and the role of the signal; both may be empty.

    `named` gives the role each name suggests, the energy column's own being 'energy'.
    """
    groups = {role: _alive(table, named, role, findings) for role in DETECTORS}
    channels: dict[str, ChannelColumns] = {}
    for role in ("i0", "transmitted", "reference", "electron-yield"):
        if groups[role]:
            channels[role] = _single(role, groups[role], findings)
    if groups["fluorescence"]:
        channels["fluorescence"] = _fluorescence(table, groups["fluorescence"], named, findings)
    _add_absorption(table, groups["absorption"], channels, findings)
    if not set(SIGNALS) & set(channels):
        _add_vague(table, named, channels, findings)
    signal = _signal(table, channels, findings)
    if signal not in (None, "absorption") and "i0" not in channels:
        findings.question("No column holds the incoming beam.")
    for role, channel in channels.items():
        for name in channel.columns:
            findings.roles[name] = f"{role} ({channel.unit})" + (", the signal" if role == signal else "")
    return tuple(channels.values()), signal


def _alive(table: RawTable, named: Mapping[str, str | None], role: str, findings: Findings) -> list[Column]:
    """The live columns of a role; dead ones, noise and twins are left out aloud."""
    alive: list[Column] = []
    for column in table.columns:
        if named[column.name] != role:
            continue
        dead = why_dead(column.values)
        twin = next((other.name for other in alive if np.array_equal(other.values, column.values)), None)
        if dead:
            trouble = dead
        elif role in ("electron-yield", "fluorescence", "transmitted") and only_noise(column.values):
            trouble = "shows nothing beyond its own noise"
        elif role in ("i0", "transmitted", "fluorescence") and not np.nanmedian(column.values) > 0:
            trouble = "lies below zero"
        elif twin:
            trouble = f"is the same as {twin}"
        else:
            alive.append(column)
            continue
        findings.doubt(f"The column {column.name} {trouble}, so it is not taken.")
        findings.roles[column.name] = f"{role}, not taken: {trouble}"
    return alive


def _single(role: str, columns: list[Column], findings: Findings) -> ChannelColumns:
    """One detector of one column; the clearest where several bear the role's name."""
    column = max(columns, key=lambda c: clearness(c.values)) if role != "i0" else columns[0]
    if len(columns) > 1:
        names = ", ".join(c.name for c in columns)
        findings.question(f"{names} could each be {role}; '{column.name}' is proposed.")
    unit, gain = _unit(column)
    sign = -1 if np.nanmedian(column.values) < 0 else 1
    if sign < 0:
        findings.doubt(f"'{column.name}' is negative; its sign is turned.")
    return ChannelColumns(role=role, columns=(column.name,), unit=unit, gain=gain, sign=sign)


def _unit(column: Column) -> tuple[str, float]:
    """The unit that the file says; else whole numbers from zero up are counts, and others have none."""
    said = UNITS.get((column.unit or "").lower())
    if said:
        return said
    counts = whole(column.values) and within(column.values, 0.0, 1e15)
    return ("counts", 1.0) if counts else ("none", 1.0)


def _fluorescence(
    table: RawTable, columns: list[Column], named: Mapping[str, str | None], findings: Findings
) -> ChannelColumns:
    """Raw columns with the dead share the detector reported, or a ready-corrected column: never both."""
    raw, ready = _elements(table, columns, findings)
    dead = [c for c in table.columns if named[c.name] == "dead-time" and not why_dead(c.values)]
    if raw and len(dead) == len(raw):
        unit = _dead_unit(raw, dead, ready, findings)
        for column in dead:
            findings.roles[column.name] = f"dead time ({unit})"
        if ready:
            _compare_correction(raw, dead, unit, ready, findings)
        if unit == "factor":
            findings.question("The factors for dead time may be applied already; a person must say.")
        names = tuple(c.name for c in raw)
        return ChannelColumns(
            role="fluorescence", columns=names, unit=_unit(raw[0])[0],
            dead_time_columns=tuple(c.name for c in dead), dead_time_unit=unit,
        )  # fmt: skip
    chosen = ready or raw
    if ready and raw:
        findings.doubt(f"{_names(ready)} is taken as corrected for dead time; {_names(raw)} is left out.")
    if dead and not ready:
        findings.question(f"{len(dead)} dead-time columns do not fit {len(raw)} fluorescence columns.")
    unit, gain = _unit(chosen[0])
    names = tuple(c.name for c in chosen)
    return ChannelColumns(role="fluorescence", columns=names, unit=unit, gain=gain, corrected=bool(ready))


def _names(columns: list[Column]) -> str:
    return ", ".join(column.name for column in columns)


def _elements(
    table: RawTable, columns: list[Column], findings: Findings
) -> tuple[list[Column], list[Column]]:
    """The elements of one detector: raw and ready-corrected; of several lines, the header's element's."""
    wanted = element(table)
    lines = [c for c in columns if wanted and line_element(c.name) == wanted]
    chosen = lines or columns
    raw = [c for c in chosen if not is_corrected(c.name)]
    ready = [c for c in chosen if is_corrected(c.name)]
    for group in (raw, ready):
        stems = sorted({stem(c.name) for c in group})
        if len(stems) > 1:
            findings.question(
                f"{', '.join(stems)} could each be fluorescence; '{stem(group[0].name)}' is proposed."
            )
            group[:] = [c for c in group if stem(c.name) == stem(group[0].name)]
    return raw, ready


def _dead_unit(raw: list[Column], dead: list[Column], ready: list[Column], findings: Findings) -> str:
    """percent, share or factor: by the file's word, the size of the numbers, or the corrected column."""
    least = min(float(np.nanmin(c.values)) for c in dead)
    most = max(float(np.nanmax(c.values)) for c in dead)
    if least >= 1.0 and all("factor" in c.name.lower() for c in dead):
        return "factor"
    if most > 1.0 or any((c.unit or "").lower() in ("%", "percent") for c in dead):
        return "percent"
    if ready and _apart(raw[0], dead[0], "percent", ready[0]) < _apart(raw[0], dead[0], "share", ready[0]):
        return "percent"
    if not ready:
        findings.question(f"'{dead[0].name}' gives no unit; its numbers look like shares, not percent.")
    return "share"


def _apart(raw: Column, dead: Column, unit: str, ready: Column) -> float:
    """Median relative distance between a ready-corrected column and the raw one corrected here."""
    share = dead.values / (100.0 if unit == "percent" else 1.0)
    with np.errstate(all="ignore"):
        again = raw.values / (1.0 - share)
        return float(np.nanmedian(np.abs(again - ready.values) / np.maximum(np.abs(again), 1e-300)))


def _compare_correction(
    raw: list[Column], dead: list[Column], unit: str, ready: list[Column], findings: Findings
) -> None:
    """Say that a ready-corrected column is the raw one corrected, or ask where it is not."""
    findings.roles[ready[0].name] = "already corrected, left out"
    if (
        len(ready) == len(raw)
        and unit != "factor"
        and _apart(raw[0], dead[0], unit, ready[0]) < SAME_CORRECTION
    ):
        findings.doubt(f"{ready[0].name} is {raw[0].name} corrected by {dead[0].name}, so it is left out.")
    else:
        findings.question(
            f"{ready[0].name} is not {raw[0].name} corrected by {dead[0].name}; one must be chosen."
        )


def _add_absorption(
    table: RawTable, ready: list[Column], channels: dict[str, ChannelColumns], findings: Findings
) -> None:
    """A ready-made absorption: the signal where raw columns are missing, else only compared with them."""
    if not ready:
        return
    pair = [table.column(channels[role].columns[0]) for role in ("i0", "transmitted") if role in channels]
    for column in ready:
        if len(pair) == 2 and _is_log_ratio(column, pair[0], pair[1]):
            findings.doubt(
                f"{column.name} is ln({pair[0].name}/{pair[1].name}), so the raw columns are taken."
            )
            findings.roles[column.name] = "ready-made absorption, left out"
        elif "i0" in channels and set(SIGNALS) & set(channels):
            findings.doubt(f"{column.name} is left out, for the raw columns are there.")
            findings.roles[column.name] = "ready-made absorption, left out"
        else:
            channels["absorption"] = ChannelColumns(role="absorption", columns=(column.name,), unit="none")
            if len(ready) > 1:
                findings.question(
                    f"{_names(ready)} could each be the absorption; '{column.name}' is proposed."
                )
            if channels.pop("i0", None):
                findings.doubt(f"{column.name} is divided already, so the incoming beam is left out.")
            return


def _is_log_ratio(column: Column, front: Column, behind: Column) -> bool:
    with np.errstate(all="ignore"):
        apart = np.abs(np.log(front.values / behind.values) - column.values)
    return bool(np.all(np.isfinite(apart))) and float(apart.max()) < SAME * max(
        1.0, float(np.ptp(column.values))
    )


def _add_vague(
    table: RawTable, named: Mapping[str, str | None], channels: dict[str, ChannelColumns], findings: Findings
) -> None:
    """No name says what was measured: a vague name, a log of two others, or the only other column."""
    free = [c for c in table.columns if named[c.name] in (None, "intensity") and not why_dead(c.values)]
    vague = [c for c in free if named[c.name] == "intensity"]
    others = [c for c in free if not (c.unit or "").lower().startswith("s")]
    if not vague and len(others) <= MOST_SEARCHED:
        for front, behind, column in permutations(others, 3):
            if _is_log_ratio(column, front, behind):
                findings.question(
                    f"'{column.name}' is ln('{front.name}'/'{behind.name}'), as incoming over transmitted."
                )
                channels["i0"] = _single("i0", [front], findings)
                channels["transmitted"] = _single("transmitted", [behind], findings)
                return
    chosen = vague[:1] or (others if len(table.columns) == 2 else [])
    if not chosen:
        findings.question("No name says which columns are the detectors.")
        return
    findings.question(
        f"'{chosen[0].name}' does not say what it is; it is proposed as a ready-made absorption."
    )
    channels["absorption"] = ChannelColumns(role="absorption", columns=(chosen[0].name,), unit="none")
    channels.pop("i0", None)


def _signal(table: RawTable, channels: Mapping[str, ChannelColumns], findings: Findings) -> str | None:
    """The yield that stands out most clearly, else the transmitted beam, else the ready-made absorption."""
    yields = [role for role in ("electron-yield", "fluorescence") if role in channels]
    yields.sort(key=lambda role: -clearness(table.column(channels[role].columns[0]).values))
    there = [*yields, *(role for role in ("transmitted", "absorption") if role in channels)]
    if len(there) > 1:
        findings.doubt(f"{' and '.join(there)} are alive; {there[0]} is proposed as the signal.")
    return there[0] if there else None
