"""How long shares take, as ratios against one scipy nnls after another in the same run, one core each.

    python benchmarks/mixture_speed.py [pixels]

1. The fan's search: every set of up to 4 of 20 references, 500 noisy copies of a curve of 400 points. Both
   must name the same best set in every copy that the slow way is run on in full.
2. A stack: five references in a million curves of 120 energies, half of them on a bound, with errors; beside
   it nnls alone, nnls with the same errors, and one read of the numbers. Shares agree to 1e-8.

The slow ways are timed on a part and scaled; those of a stack in turn with ours, and the medians of nine such
rounds are told. Exit status 1 where a goal is missed.
"""

from __future__ import annotations

import os
import sys
import time
from itertools import combinations
from typing import NamedTuple

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(name, "1")

import numpy as np  # noqa: E402
from scipy.optimize import nnls  # noqa: E402

from edgeshift.numerics.stacks import solve, tables  # noqa: E402
from edgeshift.numerics.subsets import best_sets, products  # noqa: E402

FAN_GOAL, STACK_GOAL, READ_GOAL, AGREE = 500.0, 70.0, 8.0, 1e-8
BLOCK = 32_768


def spent(call, runs: int = 5) -> float:
    """Least CPU seconds of some calls."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def references(count: int, points: int, seed: int) -> np.ndarray:
    """Invented edges with a line each."""
    rng, x = np.random.default_rng(seed), np.linspace(0.0, 1.0, points)
    places, heights = np.linspace(0.15, 0.75, count), rng.uniform(0.3, 2.0, count)
    return np.array(
        [
            0.5 + np.arctan((x - at) / 0.02) / np.pi + high * np.exp(-(((x - at - 0.03) / 0.04) ** 2))
            for at, high in zip(places, heights, strict=True)
        ]
    )


class FanSpeed(NamedTuple):
    """Seconds of both ways for all sets and copies, and whether they named the same best sets."""

    ours: float
    loop: float
    same: bool


def fan_speed(refs: int = 20, most: int = 4, copies: int = 500, whole: int = 1) -> FanSpeed:
    """The search; `whole` copies are ranked in full by the slow way."""
    of = references(refs, 400, 1)
    truth = np.zeros(refs)
    truth[[2, refs // 2, refs - 3]] = 0.5, 0.3, 0.2
    curves = truth @ of + 0.02 * np.random.default_rng(2).standard_normal((copies, 400))
    found = best_sets(products(of, curves), most)
    ours = spent(lambda: best_sets(products(of, curves), most))
    sets = [each for size in range(1, most + 1) for each in combinations(range(refs), size)]
    columns = [np.ascontiguousarray(of[list(each)].T) for each in sets]
    start, same = time.process_time(), True
    for copy in range(whole):
        rated = [_rated(each, curves[copy]) for each in columns]
        same &= sets[int(np.argmin(rated))] == tuple(np.flatnonzero(found.members[copy]))
    return FanSpeed(ours, (time.process_time() - start) / whole * copies, bool(same))


def _rated(columns: np.ndarray, curve: np.ndarray) -> float:
    left = nnls(columns, curve)[1] ** 2
    return curve.size * np.log(left / curve.size) + columns.shape[1] * np.log(curve.size)


class StackSpeed(NamedTuple):
    """CPU seconds for all pixels in each round (rounds,): ours, ours with energies first, nnls alone, nnls
    with errors, one read; and the largest disagreement."""

    ours: np.ndarray
    turned: np.ndarray
    loop: np.ndarray
    loop_with_errors: np.ndarray
    read: np.ndarray
    apart: float

    def times(self, other: str) -> float:
        """How much longer another way takes than ours: the median of the rounds."""
        return float(np.median(getattr(self, other) / self.ours))


def stack_speed(pixels: int, some: int = 4000, rounds: int = 9) -> StackSpeed:
    """The stack, all ways in turn in every round; the slow ones are run on `some` of its curves."""
    of, rng = references(5, 120, 3), np.random.default_rng(4)
    every = tables(of, np.zeros((0, 120)))
    blocks = [_invented(of, min(BLOCK, pixels - first), rng) for first in range(0, pixels, BLOCK)]
    turned = [np.ascontiguousarray(block.T) for block in blocks]
    chosen, columns = blocks[0][:some].astype(float), np.ascontiguousarray(of.T)

    def run(of_order: list[np.ndarray], order: str) -> None:
        for block in of_order:
            solve(every, block, order)

    ways = {
        "ours": (1, lambda: run(blocks, "pixels")),
        "turned": (1, lambda: run(turned, "energies")),
        "loop": (pixels / some, lambda: [nnls(columns, curve) for curve in chosen]),
        "loop_with_errors": (pixels / some, lambda: [_with_errors(of, columns, curve) for curve in chosen]),
        "read": (1, lambda: [block.sum() for block in blocks]),
    }
    run(blocks[:1], "pixels")  # compiled before the clock runs
    run(turned[:1], "energies")
    took = {name: [] for name in ways}
    for _ in range(rounds):
        for name, (scale, call) in ways.items():
            took[name].append(scale * spent(call, 1))
    slow = [_with_errors(of, columns, curve) for curve in chosen]
    found = solve(every, blocks[0][:some], "pixels")
    apart = max(np.abs(found.shares - [each[0] for each in slow]).max(),
                np.abs(found.sigma - [each[1] for each in slow]).max())  # fmt: skip
    return StackSpeed(**{name: np.array(each) for name, each in took.items()}, apart=float(apart))


def _invented(of: np.ndarray, pixels: int, rng: np.random.Generator) -> np.ndarray:
    amounts = np.maximum(rng.normal(0.2, 0.4, size=(pixels, len(of))), 0).astype("f4")
    return amounts @ of.astype("f4") + 0.05 * rng.standard_normal((pixels, of.shape[1]), dtype="f4")


def _with_errors(of: np.ndarray, columns: np.ndarray, curve: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    shares, left = nnls(columns, curve)
    used = shares > 0
    sigma = np.zeros(shares.size)
    if used.any():
        inner = of[used]
        noise = left**2 / (curve.size - inner.shape[0])
        sigma[used] = np.sqrt(noise * np.diag(np.linalg.inv(inner @ inner.T)))
    return shares, sigma


def main() -> None:
    """Print both and whether they hold."""
    fan = fan_speed()
    print(f"every set of 4 of 20, 500 copies: {1e3 * fan.ours:.0f} ms")
    ratio = fan.loop / fan.ours
    print(f"  one nnls after another: {fan.loop:.0f} s, ratio {ratio:.0f} (goal {FAN_GOAL:.0f})")
    print(f"  same best set: {fan.same}")
    pixels = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    stack = stack_speed(pixels)
    alone, errors = stack.times("loop"), stack.times("loop_with_errors")
    reads = float(np.median(stack.ours / stack.read))
    print(f"{pixels} curves of 120 energies, 5 references, with errors: {np.median(stack.ours):.3f} s")
    print(f"  energies first: {np.median(stack.turned):.3f} s")
    print(f"  nnls alone: {np.median(stack.loop):.1f} s, ratio {alone:.0f} (goal {STACK_GOAL:.0f})")
    print(f"  nnls with errors: {np.median(stack.loop_with_errors):.1f} s, ratio {errors:.0f}")
    print(f"  one read: {np.median(stack.read):.3f} s, {reads:.1f} of it (goal {READ_GOAL:.0f})")
    print(f"  largest disagreement {stack.apart:.1e} (goal {AGREE:.0e})")
    held = fan.loop >= FAN_GOAL * fan.ours and fan.same and stack.apart <= AGREE
    held &= alone >= STACK_GOAL and reads <= READ_GOAL
    sys.exit(0 if held else 1)


if __name__ == "__main__":
    main()
