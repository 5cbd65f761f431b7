"""How long the peak fits of a shift take and how often they get lost, against lmfit.minimize in the same run.

    python benchmarks/peak_speed.py [curves]

Invented curves of 400 points: a level, an arctangent and four pseudo-Voigts, noise of one percent. Every
start is displaced by up to half a width, its heights and widths are off by a third. Ours takes all curves
together and the best of four such starts; lmfit takes the first of them, curve by curve on a part, in turn
with ours. A fit has got there where its sum of squares is, to a thousandth, that of a fit started from the
truth, or less. Exit status 1 where a goal is missed, 2 where lmfit is not installed.
"""

from __future__ import annotations

import os
import sys
import time
import warnings
from typing import NamedTuple

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

import numpy as np  # noqa: E402

from edgeshift.numerics.peaks import Part, best_fits, model  # noqa: E402

SPEED_GOAL, SUCCESS_GOAL = 12.0, 0.99
STARTS, SOME, ROUNDS = 4, 20, 3
ENERGY, SIGMA = np.linspace(0.0, 40.0, 400), 0.01
BOUNDS = {
    "constant": ((-np.inf,), (np.inf,)),
    "arctangent": ((0.0, 0.0, 0.2), (9.0, 40.0, 9.0)),
    "pseudo-voigt": ((0.0, 0.0, 0.2, 0.0), (9.0, 40.0, 9.0, 1.0)),
}
Parts = tuple[Part, ...]


class PeakSpeed(NamedTuple):
    """CPU seconds for one curve in each round (rounds,), and the shares that got there."""

    ours: np.ndarray
    lmfit: np.ndarray
    ours_there: float
    lmfit_there: float


def invented(rng: np.random.Generator) -> Parts:
    """A level, a step and four lines, two of them close together."""
    lines = [
        (rng.uniform(0.4, 1.5), at + rng.uniform(-0.7, 0.7), rng.uniform(1.2, 3.0), rng.uniform(0.2, 0.7))
        for at in (11.0, 15.0, 20.0, 27.0)
    ]
    step = (1.0, 12.0 + rng.uniform(-0.5, 0.5), 1.2)
    kinds = ("constant", "arctangent", *["pseudo-voigt"] * 4)
    return tuple(
        Part(kind, own, *BOUNDS[kind]) for kind, own in zip(kinds, ((0.0,), step, *lines), strict=True)
    )


def displaced(parts: Parts, rng: np.random.Generator) -> Parts:
    """Starts that are off."""
    moved = []
    for part in parts:
        own = list(part.start)
        if len(own) > 1:
            own[1] += rng.uniform(-0.5, 0.5) * own[2]
            own[0], own[2] = own[0] * rng.uniform(0.7, 1.3), own[2] * rng.uniform(0.7, 1.4)
            own[3:] = [0.5] * len(own[3:])
        moved.append(part._replace(start=tuple(own)))
    return tuple(moved)


def by_lmfit(parts: Parts, value: np.ndarray) -> float:
    """The sum of squares lmfit.minimize ends at, with its own slopes."""
    import lmfit

    asked = lmfit.Parameters()
    for place, (now, low, high) in enumerate(
        number for part in parts for number in zip(part.start, part.low, part.high, strict=True)
    ):
        asked.add(f"p{place}", value=now, min=low, max=high)

    def left(given) -> np.ndarray:
        return (model(ENERGY, parts, np.array([each.value for each in given.values()])) - value) / SIGMA

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return float(lmfit.minimize(left, asked).chisqr)


def peak_speed(curves: int = 200, some: int = SOME, rounds: int = ROUNDS) -> PeakSpeed:
    """Both ways; lmfit on other `some` of the curves in every round."""
    rng = np.random.default_rng(1)
    truths = [invented(rng) for _ in range(curves)]
    values = np.array([model(ENERGY, t, np.concatenate([part.start for part in t])) for t in truths])
    values += SIGMA * rng.standard_normal(values.shape)
    sigmas = np.full(values.shape, SIGMA)
    starts = [tuple(displaced(t, rng) for _ in range(STARTS)) for t in truths]
    lowest = np.array([fit.rss for fit in best_fits(ENERGY, values, sigmas, [(t,) for t in truths])])
    ours, theirs, there = [], [], []
    for turn in range(rounds):
        begun = time.process_time()
        found = best_fits(ENERGY, values, sigmas, starts)
        ours.append((time.process_time() - begun) / curves)
        chosen = range(turn * some, (turn + 1) * some)
        begun = time.process_time()
        ended = [by_lmfit(starts[curve][0], values[curve]) for curve in chosen]
        theirs.append((time.process_time() - begun) / some)
        there += [end <= 1.001 * lowest[curve] for end, curve in zip(ended, chosen, strict=True)]
    well = [fit is not None and fit.rss <= 1.001 * low for fit, low in zip(found, lowest, strict=True)]
    return PeakSpeed(np.array(ours), np.array(theirs), float(np.mean(well)), float(np.mean(there)))


def main() -> None:
    """Print both and whether the goals hold."""
    try:
        import lmfit  # noqa: F401
    except ImportError:
        print("This one compares with lmfit, which is not here: pip install lmfit.", file=sys.stderr)
        sys.exit(2)
    found = peak_speed(max(int(sys.argv[1]) if len(sys.argv) > 1 else 200, SOME * ROUNDS))
    ratio = float(np.median(found.lmfit / found.ours))
    print(f"best of {STARTS} starts, all curves together: {1e3 * np.median(found.ours):.1f} ms a curve")
    print(f"  got there: {100 * found.ours_there:.1f} % (goal {100 * SUCCESS_GOAL:.0f})")
    print(f"lmfit.minimize, one start: {1e3 * np.median(found.lmfit):.1f} ms, ratio {ratio:.1f} "
          f"(goal {SPEED_GOAL:.0f})")  # fmt: skip
    print(f"  got there: {100 * found.lmfit_there:.1f} %")
    sys.exit(0 if ratio >= SPEED_GOAL and found.ours_there >= SUCCESS_GOAL else 1)


if __name__ == "__main__":
    main()
