"""The fan of equally good mixtures: how far shares may lie when references are no better than they are.

Every draw takes one view of the curve (a window, a baseline), slides and bends each reference within what
it is trusted to, adds the curve's own noise, and fits the sets of references anew. Draws that fit clearly
worse than the references as they are say that the data do not bear them, and are left out. The interval is
the spread of the rest. The formal interval is given beside it and holds the truth far too seldom.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from edgeshift.numerics.subsets import Fits, Products, fits, fits_of, products

AS_GOOD = 0.1
"""Sets whose misfit is within this of the best one's fit equally well (common practice, no source): two noisy
copies of one reference together miss by 8 % less than one of them."""
NOT_WORSE = 0.5
"""A draw may miss by this much more than the references as they are. Tried on invented mixtures: without it
the interval is up to a third wider where references are good, with it coverage is the same."""
RARE = 0.05
"""A set that is as good as the best in fewer draws than this is no equal of it."""
INSIDE = 0.95
"""Share of the draws that the interval of each set holds."""
LARGEST = 1.6
"""References may be better or somewhat worse than they are trusted to be: draws multiply their doubts by 0 to
this, evenly."""
KNOTS = 7
"""A reference bends between so many even places of its window."""
NOISE_CURVES = 60
"""Noisy copies of each view on which sets are judged before any reference is moved."""
MOST_SETS = 64
"""Sets that are refitted in every draw: all, or of more those that came nearest to the best most often."""


class View(NamedTuple):
    """One way to look: energies (points,) in eV, the curve and its noise (points,), references (refs, points)
    that lie on the same energies."""

    energy: np.ndarray
    curve: np.ndarray
    sigma: np.ndarray
    references: np.ndarray


class Doubt(NamedTuple):
    """How far a reference may be off, one standard deviation: its energies in eV, its height as a share."""

    slide_ev: float
    height: float


class Set(NamedTuple):
    """References that fit as well as any: their places, middle shares of the sum, and how often they did."""

    members: tuple[int, ...]
    parts: tuple[float, ...]
    often: float


class Fan(NamedTuple):
    """Parts (refs,) of the sum: middle, low and high of the fan, and the formal half width at 95 %.

    `total` is the sum of the shares with its own low and high; `misfit` the root mean square that the
    references as they are leave in the first view; `sets` are all that fit equally well, best first;
    `members` (kept, refs) is the fan itself, `set_of` (kept,) the place of each in `sets` (-1: in none);
    `tried` counts all draws.
    """

    middle: np.ndarray
    low: np.ndarray
    high: np.ndarray
    formal: np.ndarray
    plain: np.ndarray
    total: tuple[float, float, float]
    misfit: float
    sets: tuple[Set, ...]
    members: np.ndarray
    tried: int
    set_of: np.ndarray

    def weighed(self, values: np.ndarray) -> tuple[float, float, float]:
        """Middle, low and high of a quantity of which the references hold `values` (refs,), for each share of
        the sum; low and high reach over all sets, as those of the parts do."""
        held = self.members @ values
        tails = (0.5 * (1.0 - INSIDE), 0.5 * (1.0 + INSIDE))
        spans = [np.quantile(held[self.set_of == each], tails) for each in range(len(self.sets))]
        return float(np.median(held)), float(np.min(spans)), float(np.max(spans))


def fan(views: Sequence[View], doubts: Sequence[Doubt], most: int, draws: int = 2000, seed: int = 0) -> Fan:
    """The fan over all views (the first is the plain one) with sets of at most `most` references.

    Raises ValueError without a view, where a view has a gap or fewer points than three times `most`.
    """
    _check(views, most)
    rng = np.random.default_rng(seed)
    chosen = _worth_trying(views, most, rng)
    found = [
        _drawn(view, doubts, chosen, len(range(place, draws, len(views))), rng)
        for place, view in enumerate(views)
    ]
    kept = [_kept(each, *_plain(view, chosen)) for each, view in zip(found, views, strict=True)]
    shares = np.concatenate([rows for rows, _ in kept])
    which = np.concatenate([sets for _, sets in kept])
    return _summed(views[0], chosen, shares, which, draws)


def _check(views: Sequence[View], most: int) -> None:
    if not views:
        raise ValueError("a fan needs a view of the curve, found none")
    for view in views:
        if view.curve.size < 3 * most:
            raise ValueError(f"{most} references need {3 * most} points, found {view.curve.size}")
        if not (np.isfinite(view.curve).all() and np.isfinite(view.references).all()):
            raise ValueError("a fan needs a number at every point, found a gap")


def _worth_trying(views: Sequence[View], most: int, rng) -> list[tuple[int, ...]]:
    """All sets; where they are too many, those nearest to the best over all views and their noise.

    A moved reference may make another set the best, so the next best are tried too.
    """
    count = len(views[0].references)
    every = [each for size in range(1, most + 1) for each in combinations(range(count), size)]
    if len(every) <= MOST_SETS:
        return every
    tally: dict[tuple[int, ...], float] = {}
    for view in views:
        noisy = view.curve + view.sigma * rng.standard_normal((NOISE_CURVES, view.curve.size))
        of = products(view.references, noisy)
        blocks = [block for size in range(1, most + 1) for block in fits(of, size)]
        left = np.concatenate([block.left for block in blocks])
        best = np.min(left, axis=0)
        near = np.mean(np.where(np.isfinite(left), best / np.maximum(left, 1e-300), 0.0), axis=1)
        names = [tuple(each.tolist()) for block in blocks for each in block.sets]
        for name, score in zip(names, near, strict=True):
            tally[name] = tally.get(name, 0.0) + float(score)
    ranked = sorted(tally, key=lambda each: (-tally[each], len(each), each))
    chosen = ranked[:MOST_SETS]
    return sorted({*chosen, *_parts_of(chosen[:1])}, key=lambda each: (len(each), each))


def _parts_of(chosen: list[tuple[int, ...]]) -> set[tuple[int, ...]]:
    """Every smaller set inside the best one: it stands where a share falls to nought."""
    return {part for each in chosen for size in range(1, len(each) + 1) for part in combinations(each, size)}


def _plain(view: View, chosen: list[tuple[int, ...]]) -> tuple[float, np.ndarray]:
    """Smallest sum of squares with the references as they are, and what a draw's own noise adds to it; and
    which sets (sets,) come as near to it as makes no difference."""
    of = products(view.references, view.curve[None])
    left = np.concatenate([block.left[:, 0] for block in fits_of(of, chosen)])
    return float(np.min(left) + np.sum(view.sigma**2)), left <= (1.0 + AS_GOOD) ** 2 * np.min(left)


def _drawn(view: View, doubts: Sequence[Doubt], chosen, draws: int, rng) -> list[Fits]:
    """Every chosen set fitted in every draw: references moved, noise added."""
    moves = _moves(view, doubts, draws, rng)
    moved = np.stack([_moved(view, place, moves[:, place]) for place in range(len(doubts))], axis=1)
    noisy = view.curve + view.sigma * rng.standard_normal((draws, view.curve.size))
    of = Products(
        moved @ np.swapaxes(moved, 1, 2),
        np.einsum("drp,dp->rd", moved, noisy),
        np.einsum("dp,dp->d", noisy, noisy),
        view.curve.size,
    )
    return list(fits_of(of, chosen))


def _moves(view: View, doubts: Sequence[Doubt], draws: int, rng) -> np.ndarray:
    """Ways in which the references may be off (draws, refs, ways), drawn from their doubts, but mostly where
    the curve bears them: blind draws would nearly all miss where the data are good.

    Around the plain fit the curve is a sum, so the two are put together in closed form. The curve counts so
    little that what it bears just fills the misfit that is allowed.
    """
    from edgeshift.numerics.mixtures import non_negative

    plain = non_negative(view.curve, view.references)
    sizes = np.array([[each.slide_ev, *[each.height] * (KNOTS + 2)] for each in doubts])
    ways = np.concatenate(
        [
            share * size[:, None] * _ways(view, place)
            for place, (share, size) in enumerate(zip(plain.shares, sizes, strict=True))
        ]
    )
    used = view.references[plain.shares > 0]
    left = view.curve - plain.shares @ view.references
    own = ways - (ways @ np.linalg.pinv(used)) @ used if len(used) else ways
    level = max(plain.misfit, float(np.sqrt(np.mean(view.sigma**2))), 1e-12)
    weights, along = np.linalg.eigh(own @ own.T)
    weights = np.maximum(weights, 0.0)
    seen = float(np.sum(weights / (weights + level**2)))
    level *= np.sqrt(max(1.0, ((1 + NOT_WORSE) ** 2 - 1) * view.curve.size / max(seen, 1.0)))
    size = np.linspace(LARGEST / draws, LARGEST, draws)[:, None]
    spread = 1.0 / (weights / level**2 + 1.0 / size**2)
    middle = spread * (along.T @ own @ left) / level**2
    found = (middle + np.sqrt(spread) * rng.standard_normal(spread.shape)) @ along.T
    return sizes * found.reshape(draws, *sizes.shape)


def _ways(view: View, place: int) -> np.ndarray:
    """What one unit of each way does to a reference (ways, points): slide, scale, bends along it, its top."""
    reference = view.references[place]
    along = np.linspace(0.0, KNOTS - 1.0, view.energy.size)
    hats = np.maximum(0.0, 1.0 - np.abs(along - np.arange(KNOTS)[:, None]))
    tall = reference**2 / np.max(np.abs(reference))
    return np.vstack([-np.gradient(reference, view.energy), reference, reference * hats, tall])


def _moved(view: View, place: int, moves: np.ndarray) -> np.ndarray:
    """One reference as it might be (draws, points)."""
    energy, reference = view.energy, view.references[place]
    slid = np.stack([np.interp(energy - slide, energy, reference) for slide in moves[:, 0]])
    return slid + moves[:, 1:] @ _ways(view, place)[1:]


def _kept(blocks: list[Fits], plain: float, plainly: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Shares (kept, refs) of every set that was as good as the best of its draw, and which set each was.

    A set that is as good as the best with the references as they are (`plainly`) only needs a draw that
    stands: more references, each moved, always follow a curve a little closer.
    """
    left = np.concatenate([block.left for block in blocks])
    best = np.min(left, axis=0)
    draw_stands = best <= (1.0 + NOT_WORSE) ** 2 * plain
    if not draw_stands.any():
        draw_stands = best <= np.min(best)
    near = left <= (1.0 + AS_GOOD) ** 2 * best
    near |= plainly[:, None] & (left <= (1.0 + NOT_WORSE) ** 2 * plain)
    equal = near & np.isfinite(left) & draw_stands
    sets, draws = np.nonzero(equal)
    refs = 1 + max(int(block.sets.max()) for block in blocks)
    rows = np.zeros((sets.size, refs))
    first = 0
    for block in blocks:
        mine = np.flatnonzero((sets >= first) & (sets < first + len(block.sets)))
        local = sets[mine] - first
        rows[mine[:, None], block.sets[local]] = block.shares[local, :, draws[mine]]
        first += len(block.sets)
    return rows, sets


def _summed(view: View, chosen, shares: np.ndarray, which: np.ndarray, draws: int) -> Fan:
    refs = len(view.references)
    shares = np.pad(shares, ((0, 0), (0, refs - shares.shape[1])))
    sums = shares.sum(axis=1)
    parts = shares / sums[:, None]
    counts = np.bincount(which, minlength=len(chosen))
    equal = np.flatnonzero(counts >= max(1.0, RARE * counts.max()))
    tails = (0.5 * (1.0 - INSIDE), 0.5 * (1.0 + INSIDE))
    spans = np.array([np.quantile(parts[which == each], tails, axis=0) for each in equal])
    best = equal[np.argsort(-counts[equal], kind="stable")]
    sets = tuple(
        Set(
            chosen[each],
            tuple(np.median(parts[which == each], axis=0)[list(chosen[each])].tolist()),
            float(counts[each] / max(1, draws)),
        )
        for each in best
    )
    plain, formal, misfit = formal_interval(view)
    return Fan(
        np.median(parts, axis=0),
        spans[:, 0].min(axis=0),
        spans[:, 1].max(axis=0),
        formal,
        plain,
        (float(np.median(sums)), *(float(each) for each in np.quantile(sums, tails))),
        misfit,
        sets,
        parts,
        draws,
        _places(which, best),
    )


def _places(which: np.ndarray, best: np.ndarray) -> np.ndarray:
    """For each kept row (kept,) the place of its set among the equal ones, best first; -1 for any other."""
    place = np.full(int(max(which.max(), best.max())) + 1, -1)
    place[best] = np.arange(best.size)
    return place[which]


def formal_interval(view: View) -> tuple[np.ndarray, np.ndarray, float]:
    """Parts (refs,) by one plain fit, their 95 % half width from its covariance, and the misfit.

    It takes every reference as true and all that is left as noise that differs from point to point.
    """
    from edgeshift.numerics.mixtures import non_negative

    found = non_negative(view.curve, view.references)
    used = np.flatnonzero(found.shares > 0)
    half = np.zeros(len(view.references))
    if used.size:
        inner = view.references[used]
        scale = found.misfit**2 * view.curve.size / max(1, view.curve.size - used.size)
        covariance = scale * np.linalg.inv(inner @ inner.T)
        # the part is a ratio: share over sum
        slope = (np.eye(used.size) - found.parts[used][:, None]) / found.total
        half[used] = 1.96 * np.sqrt(np.diag(slope @ covariance @ slope.T))
    return found.parts, half, found.misfit
