"""Files as somebody's own beamline writes them, by their profile: columns, units, header keys, names."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone

import numpy as np

from edgeshift.errors import TextRefused
from edgeshift.practice.grating import HC_EV_ANGSTROM
from edgeshift.practice.instrument import DRAIN_AMP, MESH_VOLT, Reading
from edgeshift.recipe.beamline import BeamlineProfile, ChannelColumns

NAMES: tuple[Callable[[str, str, str, int], str], ...] = (
    lambda specimen, spot, edge, number: f"{number:04d}_{specimen}_{spot}_{edge}.dat",
    lambda specimen, spot, edge, number: f"{specimen}_{spot}_{edge}_{number:04d}.dat",
    lambda specimen, spot, edge, number: f"{specimen}_{spot}_{number:04d}.dat",
    lambda specimen, spot, edge, number: f"{specimen}-{spot}-{number}.dat",
    lambda specimen, spot, edge, number: f"{specimen}_{edge}_{number:04d}.dat",
    lambda specimen, spot, edge, number: f"{specimen}_{number:04d}.dat",
    lambda specimen, spot, edge, number: f"{specimen}-{number}.dat",
    lambda specimen, spot, edge, number: f"{number:04d}_{specimen}.dat",
)
"""Ways in which a file name may hold specimen and spot, tried in this order."""
SIZE = {"counts": 4.0e4, "counts/s": 6.0e4, "V": 1.6, "A": 2.0e-10, "none": 1.0}
"""A reading of usual size in each unit (invented)."""
DEAD_SHARE = 0.05


def name_for(profile: BeamlineProfile, reading: Reading) -> str:
    """A file name in which the profile finds specimen and spot.

    Raises TextRefused where its pattern fits none of the ways in which names are made here.
    """
    scan = reading.scan
    edge, label = scan.edge.replace(" ", ""), scan.conditions.label or scan.specimen
    pattern = profile.place.file_name
    if not pattern:
        return NAMES[0](*(re.sub(r"[^\w.-]+", "-", part) for part in (label, scan.spot, edge)), scan.number)
    made = [way(label, scan.spot, edge, scan.number) for way in NAMES]
    for name in made:
        found = re.search(pattern, name)
        told = found.groupdict() if found else {}
        if told.get("specimen") == label and told.get("spot") in (None, scan.spot) and "/" not in name:
            return name
    act = "Rehearse with header keys for the specimen, or a pattern as (?P<specimen>[^_]+)_(?P<spot>[^_]+)."
    raise TextRefused("the plan (file_name)", f"a pattern that reads a name as {made[1]}", repr(pattern), act)


def bytes_for(profile: BeamlineProfile, reading: Reading, day_began: datetime) -> bytes:
    """The file as that beamline writes it: header keys, one line of names, rows with tabs between."""
    columns = _placed(_columns(profile, reading))
    rows = np.column_stack(list(columns.values()))
    lines = [f"# {key}: {value}" for key, value in _header(profile, reading, day_began).items()]
    lines.append("\t".join(columns))
    lines += ["\t".join(f"{value:.9g}" for value in row) for row in rows]
    return ("\n".join(["# rehearsal, invented; none of it is reference data", *lines]) + "\n").encode("utf-8")


def _header(profile: BeamlineProfile, reading: Reading, day_began: datetime) -> dict[str, str]:
    scan = reading.scan
    start = (day_began + timedelta(seconds=scan.starts_s)).astimezone(_zone(profile))
    end = start + timedelta(seconds=float(reading.clock_s[-1]))
    said = {
        profile.place.specimen_key: scan.conditions.label or scan.specimen,
        profile.place.spot_key: scan.spot,
        profile.edge_key: scan.edge,
        profile.start_key: start.isoformat(timespec="milliseconds"),
        profile.end_key: end.isoformat(timespec="milliseconds"),
        profile.injections_key: " ".join(f"{moment:.2f}" for moment in reading.injections_s),
        profile.points_key: f"{scan.asked_ev.size}",
    }
    return {key: value for key, value in said.items() if key and value}


def _zone(profile: BeamlineProfile) -> timezone:
    found = re.fullmatch(r"([+-])(\d\d):?(\d\d)", profile.zone or "+00:00")
    if not found:
        return UTC
    size = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return timezone(-size if found[1] == "-" else size)


def _columns(profile: BeamlineProfile, reading: Reading) -> list[tuple[str, np.ndarray]]:
    columns = [(profile.energy.column, _energy(profile, reading))]
    for channel in profile.channels:
        columns += _channel(channel, reading)
    for name, values in ((profile.dwell_column, reading.dwell_s), (profile.clock_column, reading.clock_s)):
        if name:
            columns.append((name, values))
    return columns


def _energy(profile: BeamlineProfile, reading: Reading) -> np.ndarray:
    said = profile.energy
    if said.unit == "keV":
        return reading.energy_ev / 1000.0
    if said.unit == "eV":
        return reading.energy_ev
    if said.d_spacing_angstrom is None:
        needed, act = "a crystal spacing for its angles", "Type d_spacing_angstrom, then rehearse."
        raise TextRefused("the plan (energy)", needed, "none", act)
    return np.degrees(np.arcsin(HC_EV_ANGSTROM / (2.0 * said.d_spacing_angstrom * reading.energy_ev)))


def _channel(said: ChannelColumns, reading: Reading) -> list[tuple[str, np.ndarray]]:
    """The columns of one detector: its light shared among its elements, then offset, gain and sign undone."""
    signal = _signal(said, reading) / len(said.columns)
    raw = said.offset + said.sign * signal / abs(said.gain) * (1.0 if said.gain > 0 else -1.0)
    if said.ceiling is not None:
        raw = np.minimum(raw, said.ceiling) if said.ceiling > 0 else np.maximum(raw, said.ceiling)
    columns = [(name, np.rint(raw) if said.unit == "counts" else raw) for name in said.columns]
    share = {"percent": 100.0 * DEAD_SHARE, "share": DEAD_SHARE, "factor": 1.0 / (1.0 - DEAD_SHARE)}
    dead = np.full(raw.size, share[said.dead_time_unit])
    return columns + [(name, dead) for name in said.dead_time_columns]


def _signal(said: ChannelColumns, reading: Reading) -> np.ndarray:
    """What the detector would read without offset (points,), in its unit."""
    mesh, drain = reading.mesh_volt / MESH_VOLT, reading.drain_amp / DRAIN_AMP
    absorbed = drain / np.maximum(mesh, 1.0e-6)
    if said.role == "fluorescence" and said.unit in ("counts", "counts/s"):
        return reading.counts / (1.0 if said.unit == "counts" else reading.dwell_s)
    shape = {
        "i0": mesh,
        "reference": mesh,
        "electron-yield": drain,
        "fluorescence": drain,
        "transmitted": mesh * np.exp(-0.3 * absorbed),
        "absorption": absorbed,
    }[said.role]
    size = 1.0 if said.role == "absorption" else SIZE[said.unit]
    return size * shape * (reading.dwell_s if said.unit == "counts" else 1.0)


def _placed(columns: list[tuple[str, np.ndarray]]) -> dict[str, np.ndarray]:
    """Named columns in the order in which they were said; those named by number ('#3') stand there."""
    numbered = {int(name[1:]): values for name, values in columns if re.fullmatch(r"#\d+", name)}
    named = [(name, values) for name, values in columns if not re.fullmatch(r"#\d+", name)]
    many = max([len(numbered) + len(named), *numbered])
    placed: dict[str, np.ndarray] = {}
    for place in range(1, many + 1):
        if place in numbered:
            placed[f"column{place}"] = numbered[place]
        elif named:
            name, values = named.pop(0)
            placed[name] = values
        else:
            placed[f"spare{place}"] = np.zeros(columns[0][1].size)
    return placed
