"""Whether heights that bend smoothly explain how two curves differ: thickness, saturation. Arrays only.

Repeats of one powder on another tape differ so: tall parts pressed or stretched, and a background that grows
or falls along the scan. Pressed tops lean to one side of a line, which looks like a slide; so the slide is
fitted beside the bends.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.least_squares import least_squares, unit_errors
from edgeshift.numerics.local_lines import slopes, spline

ROUNDS, SETTLED_EV = 12, 1e-4


class Bent(NamedTuple):
    """The slide beside the bends with its standard error (eV), and what they leave, root mean square: over
    the noise, and as a share of the second curve's height."""

    slide_ev: float
    sigma_ev: float
    over_noise: float
    left: float


def bent(energy_ev: np.ndarray, first: np.ndarray, second: np.ndarray, sigma: np.ndarray) -> Bent:
    """Write `second` as a bent, slid `first`; all (points,), no NaN, `sigma` that of their difference.

    Gain, offset and slope are free, and so are the squares of height and energy and their product. The error
    includes the noise, scaled up by what is left.
    """
    curve, slide_ev = spline(energy_ev, first), 0.0
    for _ in range(ROUNDS):
        moved = curve.at(energy_ev - slide_ev)
        there = np.isfinite(moved)
        at, noise, level = energy_ev[there], sigma[there], moved[there]
        height = (level - level.mean()) / np.ptp(level)
        along = 2.0 * (at - at.mean()) / np.ptp(at)
        plain = [height, np.ones(at.size), along, height**2, height * along, along**2]
        columns = np.stack([*plain, -slopes(at, height)])
        weights = least_squares(columns / noise, second[there] / noise)
        move = float(weights[-1] / weights[0]) if weights[0] else 0.0
        slide_ev += float(np.clip(move, *np.array([-0.05, 0.05]) * np.ptp(at)))
        if abs(move) < SETTLED_EV:
            break
    left = second[there] - weights @ columns
    over = float(np.sqrt(np.mean((left / noise) ** 2)))
    error = float(unit_errors(columns / noise)[-1] / abs(weights[0] or 1e-300)) * max(over, 1.0)
    return Bent(slide_ev, error, over, float(np.sqrt(np.mean(left**2)) / np.ptp(second)))
