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
TIGHT, TIGHT_MORE = 3.1, 0.35
"""Or, where the groups no longer overlap, by how much their spreads shrink beside that of all (a logarithm):
groups of unlike spread are told by it. Chance gives this as rarely at one edge; with twice the edges it gives
`TIGHT_MORE` more (the same test). Spreads below `LEAST_SPREAD` of all members' are not told apart."""
LEAST_SPREAD = 0.02
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

    `edges` are arrays (members, points), one for each edge, with NaN in the row of a member that was not
    measured there; `in_second` (members,) says which group each is labelled with. An edge is heard where
    three members of each group were measured, and on a pair of which it has both.
    """
    there = [np.isfinite(rows).all(axis=1) for rows in edges]
    heard = [n for n, has in enumerate(there) if _enough(in_second[has])]
    places = {n: _along_the_largest(edges[n], there[n]) for n in heard}
    pairs = [(i, j) for i in np.flatnonzero(~in_second) for j in np.flatnonzero(in_second)]
    best: Exchange | None = None
    for i, j in pairs:
        changed = in_second.copy()
        changed[[i, j]] = changed[[j, i]]
        known = np.array([n for n in heard if there[n][i] and there[n][j]], dtype=int)
        before = np.array([_distance(places[n], in_second) for n in known])
        after = np.array([_distance(places[n], changed) for n in known])
        tight = np.array([_tightness(places[n], changed) for n in known])
        least = TIGHT + TIGHT_MORE * np.log2(max(len(heard), 1))
        for_it = ((after > WITNESS) | (tight > least)) & (after > 3.0 * before)
        says = tuple(known[for_it].tolist())
        against = np.any((before > WITNESS) & (before > after))
        apart = float(np.sqrt(np.sum(after[for_it] ** 2)))
        told = apart > FAR_APART or np.any(tight[for_it] > least)
        if says and not against and told and (best is None or apart > best.apart):
            best = Exchange(int(i), int(j), apart, says)
    return best


def _enough(in_second: np.ndarray) -> bool:
    return min(np.count_nonzero(in_second), np.count_nonzero(~in_second)) >= LEAST_MEMBERS


def _along_the_largest(rows: np.ndarray, there: np.ndarray) -> np.ndarray:
    """Place of each member (members,) along the direction in which all differ most; NaN without a curve."""
    centred = rows[there] - rows[there].mean(axis=0)
    left, sizes, _ = np.linalg.svd(centred, full_matrices=False)
    place = np.full(there.size, np.nan)
    place[there] = left[:, 0] * sizes[0]
    return place


def _distance(place: np.ndarray, in_second: np.ndarray) -> float:
    """Between the means of the groups, over their pooled standard deviation."""
    there = np.isfinite(place)
    first, second = place[there & ~in_second], place[there & in_second]
    within = np.sum((first - first.mean()) ** 2) + np.sum((second - second.mean()) ** 2)
    pooled = np.sqrt(within / (first.size + second.size - 2))
    return float(abs(first.mean() - second.mean()) / max(pooled, 1e-300))


def _tightness(place: np.ndarray, in_second: np.ndarray) -> float:
    """Logarithm of the variance of all over the geometric mean of both groups'; -inf where they overlap."""
    there = np.isfinite(place)
    first, second = place[there & ~in_second], place[there & in_second]
    if max(first.min(), second.min()) <= min(first.max(), second.max()):
        return float("-inf")
    whole = float(place[there].var(ddof=1))
    within = np.array([group.var(ddof=1) for group in (first, second)]) + LEAST_SPREAD**2 * whole
    return float(np.log(max(whole, 1e-300)) - 0.5 * np.sum(np.log(np.maximum(within, 1e-300))))
