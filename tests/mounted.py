"""Raw files and experiment texts for whatever a test wants mounted: one Al K line, units, arms, pairs."""

from __future__ import annotations

import json

import numpy as np
from invented import ENERGY, curve
from raw_files import rows

BEAMLINE = """\
beamline:
  energy: {column: energy}
  channels: [{role: i0, columns: [i0], unit: V}, {role: electron-yield, columns: [tey], unit: V}]
  place: {specimen_key: specimen, spot_key: spot}
"""
FEATURE = "edges: [{edge: Al K, feature: {kind: height, windows: [[1567, 1569]]}}]\n"


def raw(
    specimen: str | None, spot: str | None = None, line: float = 1.0, seed: int = 0, upto: int = 999
) -> bytes:
    """A noisy invented Al K scan as text, with its place in the header where one is given."""
    rng = np.random.default_rng(seed)
    beam = 2.0 + 0.1 * np.sin(ENERGY / 9)
    value = beam * (0.5 + 0.3 * curve(line)) * (1 + 0.002 * rng.standard_normal(ENERGY.size))
    return written(specimen, spot, ENERGY[:upto], beam[:upto], value[:upto])


def written(specimen: str | None, spot: str | None, *columns: np.ndarray) -> bytes:
    head = f"# specimen: {specimen}\n" if specimen else ""
    head += f"# spot: {spot}\n" if spot else ""
    return (head + "# energy i0 tey\n" + rows(*columns)).encode()


def text(units: dict[str, str], pairs: dict[str, str] | None = None, twins: tuple[str, ...] = ()) -> str:
    """An experiment text: unit -> arm, in order; one specimen a unit, a second one for the twins."""
    arms = list(dict.fromkeys(["raw", *units.values()]))
    named = {
        "arms": [{"name": arm, "control": arm == "raw"} for arm in arms],
        "units": [{"name": u, "arm": arm, "pair": (pairs or {}).get(u)} for u, arm in units.items()],
        "specimens": [{"name": f"{u}-{n}", "unit": u} for u in units for n in (1, 2)[: 1 + (u in twins)]],
    }
    return "".join(f"{key}: {json.dumps(value)}\n" for key, value in named.items()) + FEATURE + BEAMLINE
