"""What the two bands of a curve say: which of them leave zero, and where."""

from __future__ import annotations

from typing import Any

import numpy as np

from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.rungs import RUNGS
from edgeshift.questions.real.verdict import Band, CurveEvidence, Evidence


def rung_shown(asked: Asked) -> str | None:
    """The highest rung whose curves can be tested: its bands are the ones in the picture."""
    return next((r for r in reversed(RUNGS) if asked.ladder.curves[r].testable), None)


def bands(found: CurveEvidence, level: float) -> dict[str, tuple[Evidence, Band]]:
    """What each band rests on and the band itself, "full" and, where there is one, "shape"."""
    if not found.testable:
        return {}
    full = {"full": (found.full, found.band(level))}
    return full | ({"shape": (found.shape, found.shape_band(level))} if found.shape else {})


def passed(found: CurveEvidence, level: float) -> list[str]:
    """The bands that exclude zero somewhere, each at its part of the level."""
    both = bands(found, level)
    return [name for name, (evidence, _) in both.items() if evidence.chance <= level / len(both)]


def lit_by(asked: Asked, states: dict[str, str], levels: dict[str, float]) -> dict[str, list[str]]:
    """For every lit rung what lit it: ["feature"], or the bands of the curve."""
    return {
        rung: ["feature"] if asked.feature_judges(rung) else passed(asked.evidence(rung), levels[rung])
        for rung in RUNGS
        if states[rung] == "lit"
    }


def beyond(asked: Asked, rung: str, level: float) -> dict[str, dict[str, Any]]:
    """Where the bands of a rung exclude zero: `farthest_ev`, and `stretches` of [from, to] in eV.

    Only bands that do; none where the rung is not judged by what is shown: between its looks nobody looks.
    """
    if not asked.judged_as_shown(rung):
        return {}
    found, energy = asked.ladder.curves[rung], asked.nest.energy_ev
    both = bands(found, level)
    return {
        name: {
            "farthest_ev": float(energy[both[name][0].farthest()]),
            "stretches": [[float(energy[a]), float(energy[b])] for a, b in _outside(both[name][1])],
        }
        for name in passed(found, level)
    }


def _outside(band: Band) -> list[tuple[int, int]]:
    """First and last index of every run of points whose band excludes zero."""
    out = np.abs(band.difference) > band.half_width
    turns = np.flatnonzero(np.diff(np.concatenate([[False], out, [False]]).astype(int)))
    return [(int(first), int(after) - 1) for first, after in turns.reshape(-1, 2)]
