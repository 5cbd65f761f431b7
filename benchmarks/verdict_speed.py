"""What one verdict costs: 8 + 8 units of 600 energies, beside resampling.

    python -m benchmarks verdict_speed

Prints the median time of one verdict on one core and, as the straightforward way, that of 200 reshufflings
of the same units with the plain t at every energy: fewer would not tell 0.05 from 0.03. The goal is a
verdict in under 5 ms.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable

import numpy as np

from edgeshift.questions.real.verdict import curves_between

UNITS, POINTS, SHUFFLES, GOAL_MS = 8, 600, 200, 5.0


def median_ms(act: Callable[[], object], times: int) -> float:
    """Median time of one call, after one that warms up."""
    act()
    spent = []
    for _ in range(times):
        began = time.perf_counter()
        act()
        spent.append(1000 * (time.perf_counter() - began))
    return statistics.median(spent)


def reshuffled(control: np.ndarray, treated: np.ndarray, rng: np.random.Generator) -> float:
    """Share of reshufflings whose largest |t| is as large as the measured one."""
    units = np.vstack([control, treated])

    def largest(order: np.ndarray) -> float:
        first, second = units[order[:UNITS]], units[order[UNITS:]]
        error = np.sqrt((first.var(axis=0, ddof=1) + second.var(axis=0, ddof=1)) / UNITS)
        return float(np.max(np.abs(first.mean(axis=0) - second.mean(axis=0)) / error))

    seen = largest(np.arange(2 * UNITS))
    return float(np.mean([largest(rng.permutation(2 * UNITS)) >= seen for _ in range(SHUFFLES)]))


def main() -> int:
    """Print both; 0 only where a verdict keeps within its goal."""
    rng = np.random.default_rng(4)
    energy = np.linspace(700.0, 760.0, POINTS)
    control, treated = (np.cumsum(rng.standard_normal((UNITS, POINTS)), axis=1) for _ in range(2))
    verdict = median_ms(lambda: curves_between(energy, control, treated, False).chance, 50)
    shuffled = median_ms(lambda: reshuffled(control, treated, rng), 5)
    print(
        f"verdict {verdict:.2f} ms, {SHUFFLES} reshufflings {shuffled:.1f} ms: {shuffled / verdict:.0f} times"
    )
    return 0 if verdict < GOAL_MS else 1


if __name__ == "__main__":
    sys.exit(main())
