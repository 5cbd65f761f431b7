"""How much of the scatter is units, spots and scans, and what measuring more would do to the variance.

The model is nested: each scan is its arm's mean (and its pair's, where units are paired) plus a unit's, a
spot's and a scan's own independent departure. The three shares of the variance add up to one, so they are
the squares of a direction on a sphere; the restricted likelihood (Patterson and Thompson 1971, Biometrika
58, 545; from memory) is taken on a grid of directions, the scale profiled out at every energy. No prior
enters: what is told of a ratio is the range over all shares that the data do not speak against, and that
range's middle. See docs/decisions/0017-scatter-shares.md for what was turned down.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

STEPS = 36
"""Grid directions along each of two angles: 2.5 degrees apart, about 2 % of a ratio at worst."""
DROP = 0.8212
"""How far below the best a kept log-likelihood may lie: half the 80 % point of chi-squared, 1 df."""
WIDEST = 1.44
"""A range told as a number lies within 20 % of its middle, high / low at most 1.2 squared."""
FEWEST = 3
"""Degrees of freedom of units from which a narrow range is told as a number. Two (2 + 2 units, 3 pairs) see
too poorly how many energies are independent: up to two in three told numbers were wrong (heights)."""


class Nest(NamedTuple):
    """Which scan lies in which spot, unit, arm and pair; whole numbers from 0, none left out.

    spot_of_scan (scans,), unit_of_spot (spots,), arm_of_unit (units,) of 0 and 1, and pair_of_unit (units,)
    or None where units are not paired. A pair holds at most one unit of each arm.
    """

    spot_of_scan: np.ndarray
    unit_of_spot: np.ndarray
    arm_of_unit: np.ndarray
    pair_of_unit: np.ndarray | None


class Counts(NamedTuple):
    """What is measured: scans in each spot and that spot's unit (spots,), and each unit's weight (units,).

    Scans are averaged in a spot, spots in a unit, units in an arm, each unweighted; the weight is the square
    of a unit's part in the difference of the arm means.
    """

    scans: np.ndarray
    unit_of_spot: np.ndarray
    weight: np.ndarray


class Ratio(NamedTuple):
    """Variance of the difference of arm means, then / now: a range and its middle.

    The range is an 80 % one in name; benchmarks/variance_ratios.py counts how often it holds the truth.
    `reason` is empty where every number in the range lies within 20 % of the middle. Otherwise the middle
    is no answer, and the reason is `nothing-repeated`, `one-unit` (no arm or pair tells how units scatter),
    `one-spot` or `one-scan` (everywhere, so that two kinds of scatter cannot be told apart), `few-units`
    (so few that not even a narrow range is believed) or `wide`.
    """

    middle: float
    low: float
    high: float
    reason: str


class Shares(NamedTuple):
    """The three shares (cells, 3: unit, spot, scan) and their log-likelihood (cells,), best 0.

    `independent` is the number of energies that count as independent; `df` the degrees of freedom that
    units, spots and scans have.
    """

    shares: np.ndarray
    log_likelihood: np.ndarray
    independent: float
    df: tuple[int, int, int]

    @property
    def likeliest(self) -> np.ndarray:
        """The likeliest shares (3,): unit, spot, scan."""
        return self.shares[np.argmax(self.log_likelihood)]

    def ratio(self, now: Counts, then: Counts) -> Ratio:
        """What the variance of the difference of arm means becomes, as a multiple of what it is."""
        before, after = carried(now), carried(then)
        ratios = (self.shares @ after) / (self.shares @ before)
        kept = ratios[self.log_likelihood >= -DROP]
        low, high = float(kept.min()), float(kept.max())
        judged = ratios if self._few_units else kept
        reason = self._reason(after / before) if judged.max() > WIDEST * judged.min() else ""
        return Ratio((low * high) ** 0.5, low, high, reason)

    @property
    def _few_units(self) -> bool:
        """Whether only what holds for any shares whatever may be told as a number."""
        return self.df[0] < FEWEST

    def _reason(self, change: np.ndarray) -> str:
        """Why no number is told; `change` (3,) is how the act multiplies each kind's part of the variance."""
        unit, spot, scan = self.df
        if unit + spot + scan == 0:
            return "nothing-repeated"
        if unit == 0:
            return "one-unit"
        if spot == 0 and change[0] != change[1]:
            return "one-spot"
        if scan == 0 and change[1] != change[2]:
            return "one-scan"
        return "few-units" if self._few_units else "wide"


def counts(nest: Nest) -> Counts:
    """What was measured. A unit whose pair is not whole has no part in the difference: its weight is 0."""
    scans = np.bincount(nest.spot_of_scan).astype(float)
    parts = _differences(nest)
    groups = _groups(nest)
    return Counts(
        scans, nest.unit_of_spot, np.sum((groups @ parts / groups.sum(axis=1)[:, None]) ** 2, axis=0)
    )


def carried(counts: Counts) -> np.ndarray:
    """How much of a unit's, a spot's and a scan's variance (3,) reaches the difference of arm means."""
    weight = (counts.weight / np.bincount(counts.unit_of_spot) ** 2)[counts.unit_of_spot]
    return np.array([counts.weight.sum(), weight.sum(), np.sum(weight / counts.scans)])


def one_more_scan(now: Counts) -> Counts:
    """One more scan on every spot."""
    return now._replace(scans=now.scans + 1)


def one_more_spot(now: Counts) -> Counts:
    """One more spot on every unit, with as many scans as its spots have in the middle (rounded up)."""
    units = range(len(now.weight))
    scans = [np.ceil(np.median(now.scans[now.unit_of_spot == unit])) for unit in units]
    return now._replace(scans=np.append(now.scans, scans), unit_of_spot=np.append(now.unit_of_spot, units))


def half_a_round(now: Counts, arm_of_unit: np.ndarray) -> Counts:
    """One more spot on half of each arm's units (rounded up), those with the fewest spots first."""
    spots = np.bincount(now.unit_of_spot)
    arms = [np.flatnonzero(arm_of_unit == arm) for arm in np.unique(arm_of_unit)]
    chosen = [units[np.argsort(spots[units], kind="stable")][: -(-len(units) // 2)] for units in arms]
    units = np.sort(np.concatenate(chosen))
    scans = [np.ceil(np.median(now.scans[now.unit_of_spot == unit])) for unit in units]
    return now._replace(scans=np.append(now.scans, scans), unit_of_spot=np.append(now.unit_of_spot, units))


def one_more_unit(now: Counts) -> Counts:
    """One more unit in each arm, like the mean of those there: n / (n + 1) of each arm's variance."""
    return now._replace(weight=now.weight / (1 + np.sqrt(now.weight)))


def best_spots(unit_minutes: float, spot_minutes: float, unit_share: float, spot_share: float) -> float:
    """Spots on each unit that make the variance smallest for the minutes: sqrt[(c_u / c_s)(s_s^2 / s_u^2)].

    Minutes of one more unit and of one more spot on it; shares (variances) of units and spots. Without any
    scatter of units it is infinite. Cochran 1977, Sampling Techniques, chapter 10 (from memory).
    """
    ratio = spot_share / unit_share if unit_share > 0 else np.inf
    return float(np.sqrt(unit_minutes / spot_minutes * ratio))


def fit(values: np.ndarray, nest: Nest) -> Shares:
    """The shares behind scans (scans, points): whole curves, a few declared features, or one (points = 1).

    The shares are taken as the same at every energy, each energy with its own scale. Raises ValueError for
    labels that do not fit together, for numbers that are not finite, and where repeats show no scatter.
    """
    values = np.asarray(values, float)
    _check(values, nest)
    tree = _tree(values, nest)
    angle = (np.arange(STEPS) + 0.5) / STEPS * np.pi / 2
    unit = np.repeat(np.sin(angle)[None, :] ** 2, STEPS, axis=0)
    spot = np.sin(angle)[:, None] ** 2 * (1 - unit)
    shares = np.stack([unit, spot, 1 - unit - spot], axis=-1).reshape(-1, 3)
    if sum(tree.df) == 0:
        return Shares(shares, np.zeros(len(shares)), 1.0, tree.df)
    tree, independent = _usable(tree)
    per_scan = np.tan(angle) ** 2
    rows = [_log_likelihood(tree, b, per_scan * (1 + b)) for b in per_scan]
    found = independent * np.concatenate(rows)
    return Shares(shares, found - found.max(), independent, tree.df)


class _Tree(NamedTuple):
    """Scans about their spot means (scans, points), the spot means, and who belongs to whom."""

    within: np.ndarray
    spots: np.ndarray
    scans: np.ndarray
    members: np.ndarray
    differences: np.ndarray
    groups: np.ndarray
    df: tuple[int, int, int]


def _differences(nest: Nest) -> np.ndarray:
    """What scatters, as sums of units (rows, units): each unit, or each whole pair's difference."""
    if nest.pair_of_unit is None:
        return np.eye(len(nest.arm_of_unit))
    sign = 1.0 - 2.0 * nest.arm_of_unit
    rows = (nest.pair_of_unit == np.arange(nest.pair_of_unit.max() + 1)[:, None]) * sign
    return rows[(np.abs(rows).sum(axis=1) == 2) & (rows.sum(axis=1) == 0)]


def _groups(nest: Nest) -> np.ndarray:
    """Which rows of `_differences` share a mean (groups, rows): the arms, or all pairs together."""
    if nest.pair_of_unit is not None:
        return np.ones((1, len(_differences(nest))))
    return (nest.arm_of_unit == np.arange(2)[:, None]).astype(float)


def _tree(values: np.ndarray, nest: Nest) -> _Tree:
    scans = np.bincount(nest.spot_of_scan).astype(float)
    spots = np.zeros((len(scans), values.shape[1]))
    np.add.at(spots, nest.spot_of_scan, values)
    spots /= scans[:, None]
    members = (nest.unit_of_spot == np.arange(len(nest.arm_of_unit))[:, None]).astype(float)
    differences, groups = _differences(nest), _groups(nest)
    df = (len(differences) - len(groups), len(scans) - len(members), len(values) - len(scans))
    return _Tree(values - spots[nest.spot_of_scan], spots, scans, members, differences, groups, df)


def _spot_level(tree: _Tree, spot: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Spot means at a spot variance in units of the scan variance: weights, unit weights, unit means, rows.

    The rows (spots, points) are the weighted departures of spots from their unit.
    """
    weight = 1 / (spot + 1 / tree.scans)
    total = tree.members @ weight
    means = (tree.members * weight @ tree.spots) / total[:, None]
    rows = np.sqrt(weight)[:, None] * (tree.spots - tree.members.T @ means)
    return weight, total, means, rows


def _unit_level(tree: _Tree, total: np.ndarray, means: np.ndarray, unit: np.ndarray) -> tuple:
    """At unit variances (cells,): weights (cells, rows), their sums by group, centred rows (rows, points)."""
    weight = 1 / ((unit[:, None] + 1 / total) @ (tree.differences**2).T)
    rows = tree.differences @ means
    centre = tree.groups @ rows / tree.groups.sum(axis=1)[:, None]
    return weight, weight @ tree.groups.T, rows - tree.groups.T @ centre


def _log_likelihood(tree: _Tree, spot: float, unit: np.ndarray) -> np.ndarray:
    """Mean over energies of the restricted log-likelihood at one spot and many unit variances (cells,)."""
    weight, total, means, rows = _spot_level(tree, spot)
    unit_weight, group_weight, units = _unit_level(tree, total, means, unit)
    squares = unit_weight @ units**2
    for group, share in zip(tree.groups, group_weight.T, strict=True):
        squares -= ((unit_weight * group) @ units) ** 2 / share[:, None]
    squares += np.sum(rows**2, axis=0) + np.sum(tree.within**2, axis=0)
    size = np.sum(np.log(total)) - np.sum(np.log(weight))
    size = size + np.sum(np.log(group_weight), axis=1) - np.sum(np.log(unit_weight), axis=1)
    return -0.5 * (size + sum(tree.df) * np.mean(np.log(squares), axis=1))


def _usable(tree: _Tree) -> tuple[_Tree, float]:
    """The tree without energies that show no scatter at all, and how many of the rest are independent.

    Units, spots and scans are looked at one by one, with equal shares for weights, and the smallest number
    counts: a scan's noise is new at every energy, but what makes one unit differ usually is not.
    """
    _, total, means, spots = _spot_level(tree, 1.0)
    weight, group_weight, units = _unit_level(tree, total, means, np.ones(1))
    centre = (tree.groups * weight[0]) @ units / group_weight[0][:, None]
    levels = (np.sqrt(weight[0])[:, None] * (units - tree.groups.T @ centre), spots, tree.within)
    scatter = sum(np.sum(rows**2, axis=0) for rows in levels)
    kept = scatter > 1e-24 * np.sum(tree.spots**2, axis=0)
    if not kept.any():
        raise ValueError("shares of scatter need some scatter among repeats, found none at any energy")
    scale = np.sqrt(scatter[kept])
    numbers = [
        _independent(rows[:, kept] / scale, df) for rows, df in zip(levels, tree.df, strict=True) if df
    ]
    return tree._replace(within=tree.within[:, kept], spots=tree.spots[:, kept]), min(numbers)


def _independent(rows: np.ndarray, df: int) -> float:
    """One over the mean squared correlation of energies (rows, points) with `df` degrees of freedom.

    Two estimates, the larger correlation counts: from pairs of rows, corrected for what few rows feign
    (Srivastava 2005, J. Japan Statist. Soc. 35, 251; from memory), and from how each row resembles itself
    a few energies on. One degree of freedom is too little for the first and counts as one energy.
    """
    points = rows.shape[1]
    if df < 2 or not rows.any():
        return 1.0
    inner = rows @ rows.T if len(rows) < points else rows.T @ rows
    feigned = float(np.sum(inner**2) / np.trace(inner) ** 2)
    correlated = (df * feigned - 1) / (df + 1 - 2 * feigned)
    return 1 / min(1.0, max(1 / points, correlated, _likeness_along(rows)))


def _likeness_along(rows: np.ndarray) -> float:
    """Mean squared correlation of all pairs of energies, as distance alone tells it; rows (rows, points)."""
    points = rows.shape[1]
    spectrum = np.abs(np.fft.rfft(rows, 2 * points, axis=1)) ** 2
    together = points - np.arange(points)
    alike = np.fft.irfft(spectrum.sum(axis=0))[:points] / together
    squares = np.minimum(1.0, (alike / alike[0]) ** 2) * together
    return float((2 * squares.sum() - squares[0]) / points**2)


def _check(values: np.ndarray, nest: Nest) -> None:
    if values.ndim != 2 or len(values) != len(nest.spot_of_scan) or not values.shape[1]:
        raise ValueError(f"needed one row for each of {len(nest.spot_of_scan)} scans, found {values.shape}")
    if not np.all(np.isfinite(values)):
        raise ValueError("shares of scatter need finite numbers, found some that are not")
    for name, labels, size in (
        ("spots", nest.spot_of_scan, len(nest.unit_of_spot)),
        ("units", nest.unit_of_spot, len(nest.arm_of_unit)),
        ("arms", nest.arm_of_unit, 2),
    ):
        if not np.array_equal(np.unique(labels), np.arange(size)):
            raise ValueError(
                f"needed {name} numbered 0 to {size - 1} without a gap, found {np.unique(labels)}"
            )
    if nest.pair_of_unit is None:
        return
    if len(np.unique(2 * nest.pair_of_unit + nest.arm_of_unit)) < len(nest.arm_of_unit):
        raise ValueError("needed at most one unit of each arm in a pair, found two")
    if not len(_differences(nest)):
        raise ValueError("needed one whole pair at least, found none")
