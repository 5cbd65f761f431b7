"""How much memory a stack takes, small and large, and how long against holding it all.

    python benchmarks/stack_memory.py [pixels]

Files of 120 energies are written with 250 thousand and with 4 million pixels (2 GB), HDF5 in chunks, and
solved from the disk in processes of their own. The peak of memory beyond that of a nearly empty run must not
grow with the pixels. Exit status 1 where it grows by more than 20 MB.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import h5py
import numpy as np

GROWS_AT_MOST_MB = 20.0
ENERGIES, WIDE = 120, 2000

ONE_RUN = """
import resource, sys, time
import numpy as np
from edgeshift.actions.map_stack import Job, run
from edgeshift.actions.stack_file import open_stack
stack = open_stack(sys.argv[1])
along = np.linspace(0, 1, len(stack.energy_ev))
references = np.array([np.exp(-((along - at) / 0.2) ** 2) for at in (0.2, 0.5, 0.8)])
job = Job(stack, ("a", "b", "c"), references, "level", np.ones(along.size, dtype=bool))
start = time.perf_counter()
run(job, sys.argv[2], cores=2)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, time.perf_counter() - start)
"""


def write(path: Path, pixels: int) -> None:
    """A stack of three invented references with noise, written in slabs."""
    rng, along = np.random.default_rng(1), np.linspace(0, 1, ENERGIES)
    of = np.array([np.exp(-(((along - at) / 0.2) ** 2)) for at in (0.2, 0.5, 0.8)], dtype="f4")
    high = pixels // WIDE
    with h5py.File(path, "w") as file:
        data = file.create_dataset("od", (high, WIDE, ENERGIES), "f4", chunks=(4, WIDE, ENERGIES))
        file["energy"] = 700.0 + along * 40
        for first in range(0, high, 20):
            rows = min(20, high - first)
            noise = 0.05 * rng.standard_normal((rows, WIDE, ENERGIES), dtype="f4")
            data[first : first + rows] = rng.random((rows, WIDE, 3), dtype="f4") @ of + noise


def measured(pixels: int, place: Path) -> tuple[float, float]:
    """Peak memory in MB and wall seconds of one run."""
    path = place / f"{pixels}.h5"
    write(path, pixels)
    told = subprocess.run(
        [sys.executable, "-c", ONE_RUN, str(path), str(place / f"out-{pixels}")],
        check=True, capture_output=True, text=True,
    ).stdout.split()  # fmt: skip
    path.unlink()
    return float(told[0]), float(told[1])


def main() -> None:
    """Print both and whether memory stays."""
    large = int(sys.argv[1]) if len(sys.argv) > 1 else 4_000_000
    with tempfile.TemporaryDirectory() as place:
        found = {pixels: measured(pixels, Path(place)) for pixels in (large // 16, large)}
    for pixels, (peak, seconds) in found.items():
        size = pixels * ENERGIES * 4 / 1e6
        print(f"{pixels:>9} pixels ({size:.0f} MB on the disk): peak {peak:.0f} MB, {seconds:.1f} s")
    (few, _), (many, _) = found.values()
    print(f"grows by {many - few:.0f} MB (goal at most {GROWS_AT_MOST_MB:.0f})")
    sys.exit(0 if many - few <= GROWS_AT_MOST_MB else 1)


if __name__ == "__main__":
    main()
