"""Would two groups of curves be far more alike within themselves if one member of each changed places?

Arrays only. Curves are told apart along the one direction in which they differ most, at each edge; a pair is
named where its exchange closes both groups up at every edge that separates them. Chance alone finds such a
pair often enough when groups are small, so the groups must lie far apart afterwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

LEAST_MEMBERS = 3
FAR_APART = 8.0
"""Distance of the groups after the exchange, in their own scatter: chance gives this to at most two in a
hundred shifts of three and three specimens (tests/numerics/test_two_labels.py)."""
WITNESS = 3.5
"""An edge that separates the groups by this much after the exchange must not speak against it."""


class Exchange(NamedTuple):
    """The members to change places, the distance of the groups then, and which edges (by number) say so."""

    first: int
    second: int
    apart: float
    edges: tuple[int, ...]


def one_exchange(edges: Sequence[np.ndarray], in_second: np.ndarray) -> Exchange | None:
    """The exchange that every separating edge asks for; None where there is none.

    `edges` are arrays (members, points), one for each edge; `in_second` (members,) says which group each is
    labelled with. Both need three members.
    """
    if min(np.count_nonzero(in_second), np.count_nonzero(~in_second)) < LEAST_MEMBERS:
        return None
    places = [_along_the_largest(rows) for rows in edges]
    pairs = [(i, j) for i in np.flatnonzero(~in_second) for j in np.flatnonzero(in_second)]
    best: Exchange | None = None
    for i, j in pairs:
        changed = in_second.copy()
        changed[[i, j]] = changed[[j, i]]
        before = np.array([_distance(place, in_second) for place in places])
        after = np.array([_distance(place, changed) for place in places])
        says = tuple(np.flatnonzero((after > WITNESS) & (after > 3.0 * before)).tolist())
        against = np.any((before > WITNESS) & (before > after))
        apart = float(np.sqrt(np.sum(after[list(says)] ** 2)))
        if says and not against and apart > FAR_APART and (best is None or apart > best.apart):
            best = Exchange(int(i), int(j), apart, says)
    return best


def _along_the_largest(rows: np.ndarray) -> np.ndarray:
    """Place of each member (members,) along the direction in which all differ most."""
    centred = rows - rows.mean(axis=0)
    left, sizes, _ = np.linalg.svd(centred, full_matrices=False)
    return left[:, 0] * sizes[0]


def _distance(place: np.ndarray, in_second: np.ndarray) -> float:
    """Between the means of the groups, over their pooled standard deviation."""
    first, second = place[~in_second], place[in_second]
    within = np.sum((first - first.mean()) ** 2) + np.sum((second - second.mean()) ** 2)
    pooled = np.sqrt(within / (place.size - 2))
    return float(abs(first.mean() - second.mean()) / max(pooled, 1e-300))
