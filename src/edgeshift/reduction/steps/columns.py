"""Step 1, columns: a raw table and a beamline profile become a scan; nothing is guessed here.

The profile says which column is what. Angles become energies by *E = hc / (2 d sin θ)*, keV become eV,
readings stay as they were read. What is missing or dead is refused with the names that were found.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

import numpy as np

from edgeshift.errors import NotAScan, UnclearColumns
from edgeshift.formats import column_facts, header_facts
from edgeshift.recipe.beamline import BeamlineProfile, ChannelColumns, EnergyColumn
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.records.table import Column, RawTable
from edgeshift.wording.numbers import plain

NAME = "columns"
HC_EV_ANGSTROM = 12398.419843320
"""Planck constant times speed of light over the elementary charge, eV Å; exact in the SI of 2019."""
LEAST_POINTS = 5
PROFILE_ACT = "Name it in the beamline profile."
FULL_ZONE = re.compile(r"[+-]\d{2}:\d{2}\Z")


def sentence(scan: Scan) -> str:
    """What this step did, for the methods section: points, range, direction and detectors."""
    roles = ", ".join(channel.role for channel in scan.channels.values())
    low, high = float(np.min(scan.energy_ev)), float(np.max(scan.energy_ev))
    points = len(scan.energy_ev)
    return f"Read {points} points from {low:.2f} to {high:.2f} eV ({scan.direction}) with {roles}."


def scan_from_table(table: RawTable, profile: BeamlineProfile, key: str, sha256: str, place: Place) -> Scan:
    """One scan of one table (`points` rows with an energy), by a profile.

    Raises UnclearColumns where the profile names no energy, no detector, a column that is not there, a
    dead signal or two corrections for one dead time; NotAScan where the energies are none.
    """
    if profile.energy is None or not profile.channels:
        needed = "an energy column and a detector in the profile"
        raise UnclearColumns(table.file, needed, _names(table), "Say which column is what.")
    doubts: list[str] = []
    energy = _energy_ev(table, profile.energy)
    rows = _rows_with_energy(table, energy, doubts)
    channels = _channels(table, profile.channels, rows)
    signal = _signal(table, profile, channels, doubts)
    turns = column_facts.turning(energy[rows])
    if turns:
        doubts.append(f"The energies {turns}. {column_facts.SPLIT_ACT}")
    return Scan(
        key=key,
        file=table.file,
        sha256=sha256,
        edge=_edge(table, profile),
        energy_ev=_fixed(energy[rows]),
        dwell_s=_fixed(_dwell_s(table, profile, rows)),
        channels=channels,
        signal=signal,
        direction=column_facts.direction(energy[rows]),
        place=place,
        started=_time(table, profile.start_key, profile.zone, doubts),
        ended=_time(table, profile.end_key, profile.zone, doubts),
        clock_s=_fixed(column_named(table, profile.clock_column).values[rows])
        if profile.clock_column
        else None,
        injections_s=_injections_s(table, profile, doubts),
        doubts=(*table.complaints, *doubts),
    )


def place_from(table: RawTable, profile: BeamlineProfile) -> Place:
    """Specimen and spot as the header or the file name says, by the profile; what is not said is None."""
    patterns = profile.place
    found: dict[str, str | None] = {}
    if patterns.file_name:
        match = re.search(patterns.file_name, table.file.replace("\\", "/").rpartition("/")[2])
        found = match.groupdict() if match else {}
    for part, key in (("specimen", patterns.specimen_key), ("spot", patterns.spot_key)):
        if key and table.header.get(key.lower()):
            found[part] = table.header[key.lower()]
    return Place(specimen=found.get("specimen") or None, spot=found.get("spot") or None)


def join_regions(scans: Sequence[Scan]) -> Scan:
    """One scan from several files that continue one another, in rising or falling energy.

    Points of a later region that overlap an earlier one are left out aloud. Raises UnclearColumns where
    places, edges, detectors or signals differ, and NotAScan where a gap of more than five steps is left.
    """
    if not scans:
        raise UnclearColumns("joined regions", "at least one region", "none", "Choose the files.")
    first, *_ = scans
    for scan in scans:
        if (scan.place, scan.edge, scan.signal, scan.direction) != _likeness(first) or not _same_channels(
            first, scan
        ):
            needed = "the same place, edge, detectors and direction"
            raise UnclearColumns(
                scan.file, needed, f"others than in {first.file}", "Take it as a scan of its own."
            )
    sign = -1.0 if first.direction == "down" else 1.0
    ordered = sorted(scans, key=lambda scan: sign * float(scan.energy_ev[0]))
    kept = [np.ones(len(ordered[0].energy_ev), dtype=bool)]
    doubts = [doubt for scan in ordered for doubt in scan.doubts]
    for before, after in zip(ordered, ordered[1:], strict=False):
        new = sign * after.energy_ev > sign * float(before.energy_ev[-1])
        _refuse_a_gap(before, after, new, sign)
        if not new.all():
            doubts.append(
                f"{np.count_nonzero(~new)} points of {after.file} overlap {before.file} and are left out."
            )
        kept.append(new)
    return _joined(ordered, kept, doubts)


def _names(table: RawTable) -> str:
    named = [column.name for column in table.columns]
    more = f" and {len(named) - 8} more" if len(named) > 8 else ""
    return f"the columns {', '.join(named[:8])}{more}"


def column_named(table: RawTable, name: str) -> Column:
    """A column by number ('#2'), by name, or by its name with its unit as it stood in the file.

    Raises UnclearColumns with the names that are there.
    """
    number = re.fullmatch(r"#(\d{1,4})", name.strip())
    if number and 1 <= int(number[1]) <= len(table.columns):
        return table.columns[int(number[1]) - 1]
    plain = re.sub(r"\W+", "", name).lower()
    column = table.column(name) or next(
        (
            c
            for c in table.columns
            if plain and re.sub(r"\W+", "", f"{c.name}{c.unit or ''}").lower() == plain
        ),
        None,
    )
    if column is None:
        raise UnclearColumns(table.file, f"the column '{name}'", _names(table), PROFILE_ACT)
    return column


def _energy_ev(table: RawTable, said: EnergyColumn) -> np.ndarray:
    """Energies (points,) in eV; NaN where the file has no number."""
    values = column_named(table, said.column).values
    if said.unit != "deg":
        return values * (1000.0 if said.unit == "keV" else 1.0)
    spacing = said.d_spacing_angstrom or header_facts.d_spacing_angstrom(table)
    if spacing is None:
        raise UnclearColumns(table.file, "a crystal spacing for the angle", "none in the header", PROFILE_ACT)
    with np.errstate(divide="ignore", invalid="ignore"):
        return HC_EV_ANGSTROM / (2.0 * spacing * np.sin(np.deg2rad(values)))


def _rows_with_energy(table: RawTable, energy: np.ndarray, doubts: list[str]) -> np.ndarray:
    rows = np.isfinite(energy)
    if np.count_nonzero(rows) < LEAST_POINTS:
        found = f"{np.count_nonzero(rows)}"
        raise NotAScan(
            table.file, f"at least {LEAST_POINTS} points with an energy", found, "Take the whole scan."
        )
    low, high = float(energy[rows].min()), float(energy[rows].max())
    if low < column_facts.LEAST_EV or high > column_facts.MOST_EV or low == high:
        needed = f"energies between {column_facts.LEAST_EV:.0f} and {column_facts.MOST_EV:.0f} eV"
        found = f"{plain(low)} to {plain(high)} eV"
        raise NotAScan(table.file, needed, found, "Check the energy column and its unit.")
    if not rows.all():
        doubts.append(f"{np.count_nonzero(~rows)} rows without an energy are left out.")
    return rows


def _channels(table: RawTable, said: Sequence[ChannelColumns], rows: np.ndarray) -> dict[str, Channel]:
    channels: dict[str, Channel] = {}
    for one in said:
        if one.role in channels:
            raise UnclearColumns(
                table.file, "one detector for each role", f"{one.role} twice", "Mend the profile."
            )
        channels[one.role] = _channel(table, one, rows)
    return channels


def _channel(table: RawTable, said: ChannelColumns, rows: np.ndarray) -> Channel:
    """One detector; a loss may be undone by the file, by a dead time or by a reported share: one of them."""
    ways = [said.corrected, said.dead_time_s > 0, bool(said.dead_time_columns)]
    if sum(ways) > 1:
        found = f"{sum(ways)} corrections for {said.role}"
        raise UnclearColumns(table.file, "dead time undone once", found, "Keep one of them in the profile.")
    if said.dead_time_columns and len(said.dead_time_columns) != len(said.columns):
        found = f"{len(said.dead_time_columns)} for {len(said.columns)} elements"
        raise UnclearColumns(table.file, "one dead-time column per element", found, "Mend the profile.")
    return Channel(
        role=said.role,
        raw=_fixed(np.stack([column_named(table, name).values[rows] for name in said.columns])),
        unit=said.unit,
        columns=said.columns,
        offset=said.offset,
        gain=said.gain,
        sign=said.sign,
        dead_time_s=said.dead_time_s,
        dead_fraction=_dead_fraction(table, said, rows),
        corrected=said.corrected,
        ceiling=said.ceiling,
    )


def _dead_fraction(table: RawTable, said: ChannelColumns, rows: np.ndarray) -> np.ndarray | None:
    if not said.dead_time_columns:
        return None
    values = np.stack([column_named(table, name).values[rows] for name in said.dead_time_columns])
    if said.dead_time_unit == "factor":
        with np.errstate(divide="ignore", invalid="ignore"):
            share = 1.0 - 1.0 / values
    else:
        share = values / (100.0 if said.dead_time_unit == "percent" else 1.0)
    known = share[np.isfinite(share)]
    if not known.size or known.min() < 0 or known.max() >= 1:
        needed = f"dead time as {said.dead_time_unit} below the whole"
        span = (
            f"{np.nanmin(values):.4g} to {np.nanmax(values):.4g}"
            if np.isfinite(values).any()
            else "no numbers"
        )
        raise UnclearColumns(table.file, needed, span, "Check the unit in the profile.")
    return _fixed(share)


def _signal(
    table: RawTable, profile: BeamlineProfile, channels: dict[str, Channel], doubts: list[str]
) -> str:
    """The role that answers questions; a dead signal is refused, one that is only noise is doubted aloud."""
    yields = [role for role in channels if role not in ("i0", "reference")]
    signal = profile.signal or (yields[0] if yields else next(iter(channels)))
    if signal not in channels:
        found = f"{', '.join(channels)}"
        raise UnclearColumns(
            table.file, f"a detector for the signal '{signal}'", found, "Add its column to the profile."
        )
    channel = channels[signal]
    for role in {signal, "i0"} & set(channels):
        dead = [column_facts.why_dead(element) for element in channels[role].raw]
        if all(dead):
            found = f"'{channels[role].columns[0]}', which {dead[0]}"
            raise UnclearColumns(table.file, f"a live column for the {role}", found, "Choose another column.")
        named = zip(channels[role].columns, dead, strict=True)
        doubts += [f"The column {name} {why}." for name, why in named if why]
    if all(column_facts.only_noise(element) for element in channel.raw):
        doubts.append(f"The column {channel.columns[0]} shows nothing beyond its own noise.")
    return signal


def _dwell_s(table: RawTable, profile: BeamlineProfile, rows: np.ndarray) -> np.ndarray:
    """Seconds on each point (points,); 1.0 where nobody said."""
    if profile.dwell_column:
        values = column_named(table, profile.dwell_column).values[rows]
        if not column_facts.within(values, 1e-9, 1e6) or not np.isfinite(values).all():
            needed, found = "positive times on each point", f"others in '{profile.dwell_column}'"
            raise UnclearColumns(table.file, needed, found, "Name another column or none.")
        return values
    return np.full(np.count_nonzero(rows), profile.dwell_s or 1.0)


def _edge(table: RawTable, profile: BeamlineProfile) -> str | None:
    """The edge by the profile's key, as 'Fe K', else by the header's element and edge, else None."""
    said = table.header.get(profile.edge_key.lower(), "").split() if profile.edge_key else []
    if len(said) == 2:
        return f"{said[0].capitalize()} {said[1].upper()}"
    return header_facts.edge_name(table)


def _time(table: RawTable, key: str | None, zone: str | None, doubts: list[str]) -> str | None:
    """A header's time in ISO 8601, with the profile's zone where the file gives none; None if unreadable."""
    text = table.header.get(key.lower(), "") if key else ""
    if not text:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        if not any(f"({key}) is no ISO 8601 time" in said for said in table.complaints):
            doubts.append(f"'{text[:40]}' ({key}) is no ISO 8601 time, so it is left open.")
        return None
    words = moment.isoformat()
    if moment.tzinfo is None and zone and FULL_ZONE.match(zone):
        return words + zone
    return words


def _injections_s(table: RawTable, profile: BeamlineProfile, doubts: list[str]) -> tuple[float, ...]:
    text = table.header.get(profile.injections_key.lower(), "") if profile.injections_key else ""
    words = re.split(r"[,;\s]+", text.strip()) if text.strip() else []
    if not all(re.fullmatch(r"\d{1,9}(?:\.\d*)?", word) for word in words):
        doubts.append(f"The injection times '{text[:40]}' are no numbers, so they are left open.")
        return ()
    return tuple(float(word) for word in words)


def _fixed(values: np.ndarray) -> np.ndarray:
    """A copy that nobody can change."""
    copy = np.array(values, dtype=float)
    copy.setflags(write=False)
    return copy


def _likeness(scan: Scan) -> tuple:
    return scan.place, scan.edge, scan.signal, scan.direction


def _same_channels(one: Scan, other: Scan) -> bool:
    """Whether two scans have the same detectors, read out alike."""
    if one.channels.keys() != other.channels.keys():
        return False
    pairs = ((one.channels[role], other.channels[role]) for role in one.channels)
    return all(_settings(a) == _settings(b) for a, b in pairs)


def _settings(channel: Channel) -> tuple:
    loss = (channel.dead_time_s, channel.dead_fraction is None, channel.corrected)
    reading = (channel.unit, channel.offset, channel.gain, channel.sign, channel.ceiling)
    return len(channel.raw), reading, loss


def _refuse_a_gap(before: Scan, after: Scan, new: np.ndarray, sign: float) -> None:
    if not new.any():
        found = f"all of {after.file} inside {before.file}"
        raise NotAScan(after.file, "a region that goes on", found, "Take it as a repeat.")
    steps = [float(np.median(np.abs(np.diff(scan.energy_ev)))) for scan in (before, after)]
    gap = float(np.min(sign * after.energy_ev[new]) - sign * before.energy_ev[-1])
    if gap > 5.0 * max(steps):
        found = f"a gap of {gap:.3g} eV after {before.file}"
        raise NotAScan(after.file, "regions that continue one another", found, "Add the region between them.")


def _joined(ordered: Sequence[Scan], kept: Sequence[np.ndarray], doubts: list[str]) -> Scan:
    first, last = ordered[0], ordered[-1]

    def along(parts: list[np.ndarray]) -> np.ndarray:
        return _fixed(
            np.concatenate([part[..., new] for part, new in zip(parts, kept, strict=True)], axis=-1)
        )

    channels = {}
    for role, channel in first.channels.items():
        same = [scan.channels[role] for scan in ordered]
        shares = [c.dead_fraction for c in same]
        settings = {name: getattr(channel, name) for name in Channel.__dataclass_fields__}
        joined = None if channel.dead_fraction is None else along(shares)
        channels[role] = Channel(**{**settings, "raw": along([c.raw for c in same]), "dead_fraction": joined})
    return Scan(
        key=first.key,
        file=" + ".join(scan.file for scan in ordered),
        sha256="+".join(scan.sha256 for scan in ordered),
        edge=first.edge,
        energy_ev=along([scan.energy_ev for scan in ordered]),
        dwell_s=along([scan.dwell_s for scan in ordered]),
        channels=channels,
        signal=first.signal,
        direction=first.direction,
        place=first.place,
        started=min((s.started for s in ordered if s.started), default=None),
        ended=max((s.ended for s in ordered if s.ended), default=None),
        clock_s=None,
        regions=tuple(scan.key for scan in ordered),
        doubts=(*doubts, f"Joined from {len(ordered)} regions; times since the start are left open.")
        if last is not first
        else tuple(doubts),
    )
