"""The practice beamline's own file: `# key: value` lines, one line of column names, rows of numbers."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from edgeshift.practice.instrument import Reading

ROW = "%10.3f %9.5f %13.5e %8d %8.2f %7.3f\n"
COLUMNS = "#   energy      mesh         drain     fluo    clock   dwell\n"


def file_name(number: int, edge: str) -> str:
    """As '0017_AlK.dat'."""
    return f"{number:04d}_{edge.replace(' ', '')}.dat"


def file_bytes(reading: Reading, day_began: datetime) -> bytes:
    """The file as the instrument writes it."""
    columns = (
        reading.energy_ev,
        reading.mesh_volt,
        reading.drain_amp,
        reading.counts,
        reading.clock_s,
        reading.dwell_s,
    )
    rows = np.column_stack(columns)
    numbers = (ROW * len(rows)) % tuple(rows.ravel().tolist())
    return (_header(reading, day_began) + COLUMNS + numbers).encode("utf-8")


def _header(reading: Reading, day_began: datetime) -> str:
    scan = reading.scan
    start = day_began + timedelta(seconds=scan.starts_s)
    end = start + timedelta(seconds=float(reading.clock_s[-1]))
    said = {
        "scan": f"{scan.number}",
        "specimen": scan.conditions.label or scan.specimen,
        "spot": scan.spot,
        "edge": scan.edge,
        "start": start.isoformat(timespec="milliseconds"),
        "end": end.isoformat(timespec="milliseconds"),
        "injections": " ".join(f"{moment:.2f}" for moment in reading.injections_s),
        "points": f"{scan.asked_ev.size}",
        "dwell": f"{scan.dwell_s:.3f} s",
        "pressure": f"{reading.pressure_mbar:.2e} mbar",
        "ring current": f"{reading.ring_ma:.2f} mA",
        "units": "eV V A counts s s",
    }
    lines = ["# practice beamline, invented; none of it is reference data"]
    return "\n".join([*lines, *(f"# {key}: {value}".rstrip() for key, value in said.items())]) + "\n"
