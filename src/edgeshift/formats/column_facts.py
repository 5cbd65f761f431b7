"""What the numbers of one column say for themselves: dead, only noise, an axis of energies, whole counts.

These are facts about a column alone. They back a proposal or a doubt; they are no judgement of a scan.
"""

from __future__ import annotations

import numpy as np

LEAST_EV, MOST_EV = 30.0, 30_000.0
"""A monochromator energy lies between these; a loss spectrum starts at or below zero."""
FEW = 20
"""Shorter columns say too little about their noise."""
NOISE_RATIO = 3.0
"""A column whose spread is below this many times its own point-to-point noise shows no structure.

Common practice, no source; chosen by looking: dark yields reach 2.5, the weakest real one 4.0.
"""

SPLIT_ACT = "Split the file into one for each way."


def why_dead(values: np.ndarray) -> str | None:
    """Why a column (points,) carries nothing, as words after its name; None for a live one."""
    numbers = values[np.isfinite(values)]
    if numbers.size == 0:
        return "holds no numbers"
    if not numbers.any():
        return "holds only zeros"
    different = np.unique(numbers).size
    if different == 1:
        return "never changes"
    if numbers.size < FEW:
        flat = whole(numbers) and np.ptp(numbers) <= 4
    else:
        flat = different * 20 < numbers.size and only_noise(numbers)
    return f"holds only {different} different values" if flat else None


def only_noise(values: np.ndarray) -> bool:
    """Whether a column of twenty points or more spreads no further than its own noise."""
    return values.size >= FEW and clearness(values) < NOISE_RATIO


def clearness(values: np.ndarray) -> float:
    """Standard deviation over point-to-point noise, from the median size of second differences.

    Gaussian noise alone gives 1. Where most second differences are zero, the mean squared step
    against the variance serves instead (2 for noise alone).
    """
    numbers = values[np.isfinite(values)]
    if numbers.size < 4 or numbers.min() == numbers.max():
        return 0.0
    # Scaled first, so that numbers near the largest a computer holds cannot overflow.
    numbers = numbers / np.abs(numbers).max()
    numbers = (numbers - numbers.mean()) / np.ptp(numbers)
    bends = np.diff(numbers, 2)
    noise = 1.4826 * float(np.median(np.abs(bends - np.median(bends)))) / np.sqrt(6.0)
    if noise > 0:
        return float(numbers.std()) / noise
    return float(np.sqrt(2.0 * numbers.var() / max(float(np.mean(np.diff(numbers) ** 2)), 1e-300)))


def whole(values: np.ndarray) -> bool:
    """Whether every number is a whole one, as a counter gives."""
    numbers = values[np.isfinite(values)]
    return bool(numbers.size) and bool(np.all(numbers == np.round(numbers)))


def direction(energy: np.ndarray) -> str:
    """up, down or mixed: mixed when more than one step in twenty goes the other way."""
    steps = np.diff(energy[np.isfinite(energy)])
    if steps.size == 0:
        return "up"
    against = np.mean(steps < 0) if energy[-1] >= energy[0] else np.mean(steps > 0)
    if against > 0.05:
        return "mixed"
    return "up" if energy[-1] >= energy[0] else "down"


def turning(energy: np.ndarray) -> str:
    """Where a mixed axis turns, as words after its name; empty for one that only rises or only falls."""
    numbers = energy[np.isfinite(energy)]
    if direction(numbers) != "mixed":
        return ""
    inner = numbers[1:-1]
    for extreme, least in ((inner.max(), numbers[[0, -1]].max()), (inner.min(), numbers[[0, -1]].min())):
        place = int(np.flatnonzero(numbers == extreme)[0])
        ways = {direction(numbers[: place + 1]), direction(numbers[place:])}
        if extreme != least and ways == {"up", "down"}:
            return f"turn round at {extreme:.2f} eV"
    return "turn round more than once"


def is_axis(values: np.ndarray) -> bool:
    """Whether a column rises or falls nearly all along, without standing still."""
    numbers = values[np.isfinite(values)]
    if numbers.size < 5 or 2 * numbers.size < values.size:
        return False
    return direction(numbers) != "mixed" and float(np.mean(np.diff(numbers) == 0)) < 0.2


def within(values: np.ndarray, least: float, most: float) -> bool:
    """Whether every number of a column that has any lies between two limits."""
    numbers = values[np.isfinite(values)]
    return bool(numbers.size) and bool(numbers.min() >= least) and bool(numbers.max() <= most)
