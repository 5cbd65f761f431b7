"""How much of what differs is a change of offset, slope, height or slide rather than of shape."""

from __future__ import annotations

import numpy as np

from edgeshift.numerics.local_scatter import usual_directions, without
from edgeshift.questions.real.nest import Nest


def along(nest: Nest) -> dict[str, dict | None]:
    """The share that offset, slope, height and slide together take of the scatter between units ("scatter")
    and of the difference ("difference"), and which two of them take more ("mainly"); None without either.
    """
    control, treated = (np.vstack([u.curve for u in units]) for _, units in nest.arms)
    directions = usual_directions(nest.energy_ev, np.vstack([control, treated]).mean(axis=0))
    apart = [treated - control] if nest.paired else [control, treated]
    scatter = np.vstack([rows - rows.mean(axis=0) for rows in apart])
    return {
        "scatter": _shares(scatter, directions),
        "difference": _shares(nest.difference[None, :], directions),
    }


def _shares(rows: np.ndarray, directions: np.ndarray) -> dict | None:
    """Of the sum of squares of curves (rows, points); None where they are flat zero."""
    whole = float(np.sum(rows**2))
    if not np.max(np.abs(rows)) > 1e-12:
        return None

    def taken(some: np.ndarray) -> float:
        return 1 - float(np.sum(without(rows, some) ** 2)) / whole

    mainly = "height-slide" if taken(directions[2:]) >= taken(directions[:2]) else "offset-slope"
    return {"share": taken(directions), "mainly": mainly}
