"""How long a person waits, as ratios against the straightforward way in the same run.

    python benchmarks/speed.py

1. A file is closed and the answer changes: each of the last scans of a practice shift is taken into a
   folder (copied, hashed, on the disk) and `real` is asked again at all edges, to JSON. Beside it an
   ordinary script that is run again for every file: it reads and reduces all files and puts a band of 2000
   nested draws (units, spots, scans) on the difference at every edge. The same script, kept running,
   reading only the new file and drawing only at its edge, is timed too.
2. `edgeshift --help` beside a bare `python -c pass`, and the first answer from a cold start.

One core, one thread for each library. Exit status 1 where a goal is missed.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np  # noqa: E402

from edgeshift.actions.ask import answer  # noqa: E402
from edgeshift.actions.desk import Desk  # noqa: E402
from edgeshift.actions.practise import practice_scenario  # noqa: E402
from edgeshift.actions.session import Session  # noqa: E402
from edgeshift.actions.take import take  # noqa: E402
from edgeshift.folder.experiment_folder import ExperimentFolder  # noqa: E402
from edgeshift.practice import shift  # noqa: E402
from edgeshift.wording.plain import as_json  # noqa: E402

LANDINGS = 40
DRAWS = 2000


def landing_times(seed: int) -> tuple[list[float], list[float], list[float]]:
    """Seconds from a closed file to JSON: ours, the script run again, the script kept running."""
    made = shift(practice_scenario(), seed)
    first, last = made.files[:-LANDINGS], made.files[-LANDINGS:]
    ours, again, kept = [], [], []
    with tempfile.TemporaryDirectory() as place:
        desk = Desk()
        with ExperimentFolder.create(Path(place) / "shift", made.experiment_text, desk.now()) as folder:
            take(folder, [(f.name, f.data) for f in first], desk)
            session = Session(folder)
            as_json(answer(session, "real"))
            for file in last:
                start = time.perf_counter()
                take(folder, [(file.name, file.data)], desk)
                as_json(answer(session, "real"))
                ours.append(time.perf_counter() - start)
    running = Script([f.data for f in first])
    for count, file in enumerate(last, start=len(first) + 1):
        kept.append(timed(lambda file=file: running.land(file.data)))
        if count % 8 == 0:
            again.append(timed(lambda count=count: Script([f.data for f in made.files[:count]]).answer()))
    return ours, again, kept


def timed(call) -> float:
    """Seconds of one call."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


class Script:
    """The straightforward way: read, divide, take a line away, scale, resample, print JSON."""

    def __init__(self, files: list[bytes]) -> None:
        self.rng = np.random.default_rng(1)
        self.edge = ""
        # edge -> arm -> unit -> spot -> scans
        self.tree: dict = {}
        for data in files:
            self.read(data)

    def land(self, data: bytes) -> str:
        """One file more, and the answer at its edge."""
        self.read(data)
        return json.dumps([self.at(self.edge)])

    def read(self, data: bytes) -> None:
        """One file into the tree."""
        lines = data.decode().splitlines()
        header = dict(line[2:].split(": ", 1) for line in lines if line.startswith("# ") and ": " in line)
        table = np.loadtxt([line for line in lines if line and not line.startswith("#")])
        energy, ratio = table[:, 0], np.abs(table[:, 2] / table[:, 1])
        base = np.polyfit(energy[:20], ratio[:20], 1)
        curve = ratio - np.polyval(base, energy)
        specimen, self.edge = header["specimen"], header["edge"]
        arm = "raw" if specimen.startswith("RAW") else "fired"
        spots = self.tree.setdefault(self.edge, {}).setdefault(arm, {}).setdefault(specimen, {})
        spots.setdefault(header["spot"], []).append(curve / curve[-30:].mean())

    def answer(self) -> str:
        """The answer at every edge."""
        return json.dumps([self.at(edge) for edge in self.tree])

    def at(self, edge: str) -> dict:
        """Mean difference at one edge with a simultaneous band from nested draws."""
        arms = self.tree[edge]
        if len(arms) < 2:
            return {"edge": edge}
        difference = self.mean(arms["fired"]) - self.mean(arms["raw"])
        draws = np.array([self.drawn(arms["fired"]) - self.drawn(arms["raw"]) for _ in range(DRAWS)])
        away = draws - difference
        spread = away.std(axis=0)
        height = np.quantile(np.max(np.abs(away / np.where(spread > 0, spread, 1)), axis=1), 0.95)
        return {"edge": edge, "difference": difference.tolist(), "half": (height * spread).tolist()}

    def mean(self, units: dict) -> np.ndarray:
        """Scans in a spot, spots in a unit, units in an arm."""
        return np.mean(
            [np.mean([np.mean(s, axis=0) for s in u.values()], axis=0) for u in units.values()], axis=0
        )

    def drawn(self, units: dict) -> np.ndarray:
        """The same of units, spots and scans drawn with replacement."""
        means = []
        for unit in self.pick(list(units.values())):
            spots = [np.mean(self.pick(scans), axis=0) for scans in self.pick(list(unit.values()))]
            means.append(np.mean(spots, axis=0))
        return np.mean(means, axis=0)

    def pick(self, things: list) -> list:
        """As many as there are, drawn with replacement."""
        return [things[k] for k in self.rng.integers(0, len(things), len(things))]


def whole_process(*command: str, runs: int = 7) -> float:
    """Median wall seconds of a whole process."""
    times = [timed(lambda: subprocess.run(command, check=True, capture_output=True)) for _ in range(runs)]
    return float(np.median(times))


def cold_start() -> tuple[float, float, float]:
    """Wall seconds of bare Python, of --help, and of the first answer of a practice shift's folder."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "shift"
        edgeshift = (sys.executable, "-m", "edgeshift.cli")
        subprocess.run([*edgeshift, "practice", str(folder), "--seed", "1"], check=True, capture_output=True)
        bare = whole_process(sys.executable, "-c", "pass")
        helped = whole_process(*edgeshift, "--help")
        answered = whole_process(*edgeshift, "ask", "real", str(folder), "--json", runs=3)
    return bare, helped, answered


def main() -> None:
    """Print both rows and whether they hold."""
    ours, again, kept = (1e3 * np.array(each) for each in landing_times(seed=1))
    p95, ratio = np.quantile(ours, 0.95), np.median(again) / np.median(ours)
    print(f"file closed to JSON: median {np.median(ours):.1f} ms, p95 {p95:.1f} ms (goal 10)")
    print(f"  the script run again: median {np.median(again):.0f} ms, ratio {ratio:.0f} (goal 20)")
    print(f"  the script kept running: median {np.median(kept):.0f} ms")
    bare, helped, answered = cold_start()
    print(
        f"--help: {1e3 * helped:.0f} ms, {helped / bare:.1f} times bare python's {1e3 * bare:.0f} (goal 12)"
    )
    print(f"first answer, cold: {answered:.2f} s (goal 1)")
    held = p95 <= 10 and ratio >= 20 and helped <= 12 * bare and answered <= 1
    sys.exit(0 if held else 1)


if __name__ == "__main__":
    main()
