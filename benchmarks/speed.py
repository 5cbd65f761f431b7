"""How long a person waits, as ratios against the straightforward way in the same run.

    python benchmarks/speed.py

1. A file is closed and the answer changes: the 46th scan of a practice shift is taken into a folder and
   `real` is asked again, to JSON. Beside it an ordinary script that keeps what it reduced before, reads
   only the new file, and puts a resampled band (2000 draws) on the difference of arms.
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

LANDINGS = 20
DRAWS = 2000


def landing_times(seed: int) -> tuple[list[float], list[float]]:
    """Seconds from a closed file to JSON for the last files of a shift: ours, and the script's."""
    made = shift(practice_scenario(), seed)
    first, last = made.files[:-LANDINGS], made.files[-LANDINGS:]
    ours, script = [], Script()
    for file in first:
        script.land(file.data)
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
    theirs = [timed(lambda f=f: script.land(f.data)) for f in last]
    return ours, theirs


def timed(call) -> float:
    """Seconds of one call."""
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


class Script:
    """The straightforward way: keep reduced spectra, read the new file, resample, print JSON."""

    def __init__(self) -> None:
        self.spectra: dict[tuple[str, str], list[np.ndarray]] = {}
        self.rng = np.random.default_rng(1)

    def land(self, data: bytes) -> str:
        """One file more; the JSON of its edge's difference with a band."""
        lines = data.decode().splitlines()
        header = dict(line[2:].split(": ", 1) for line in lines if line.startswith("# ") and ": " in line)
        table = np.loadtxt([line for line in lines if line and not line.startswith("#")])
        energy, ratio = table[:, 0], np.abs(table[:, 2] / table[:, 1])
        base = np.polyfit(energy[:20], ratio[:20], 1)
        curve = ratio - np.polyval(base, energy)
        curve = curve / curve[-30:].mean()
        edge = header.get("edge", "")
        arm = "raw" if "RAW" in header.get("specimen", "") else "fired"
        self.spectra.setdefault((edge, arm), []).append(curve)
        return self.band(edge)

    def band(self, edge: str) -> str:
        """Mean difference with a simultaneous band from resampled scans."""
        raw, fired = (np.array(self.spectra.get((edge, arm), [])) for arm in ("raw", "fired"))
        if len(raw) < 2 or len(fired) < 2:
            return json.dumps({"edge": edge})
        difference = fired.mean(axis=0) - raw.mean(axis=0)
        draws = []
        for _ in range(DRAWS):
            one = raw[self.rng.integers(0, len(raw), len(raw))].mean(axis=0)
            two = fired[self.rng.integers(0, len(fired), len(fired))].mean(axis=0)
            draws.append(two - one - difference)
        spread = np.std(draws, axis=0)
        height = np.quantile(np.max(np.abs(np.array(draws) / spread), axis=1), 0.95)
        band = {"difference": difference.tolist(), "half": (height * spread).tolist()}
        return json.dumps({"edge": edge, **band})


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
    ours, theirs = landing_times(seed=1)
    p95, ratio = float(np.quantile(ours, 0.95)), float(np.median(theirs) / np.median(ours))
    print(f"file closed to JSON: median {1e3 * np.median(ours):.1f} ms, p95 {1e3 * p95:.1f} ms (goal 10)")
    print(f"  an incremental script: median {1e3 * np.median(theirs):.1f} ms, ratio {ratio:.1f} (goal 20)")
    bare, helped, answered = cold_start()
    print(
        f"--help: {1e3 * helped:.0f} ms, {helped / bare:.1f} times bare python's {1e3 * bare:.0f} (goal 12)"
    )
    print(f"first answer, cold: {answered:.2f} s (goal 1)")
    held = p95 <= 0.010 and ratio >= 20 and helped <= 12 * bare and answered <= 1
    sys.exit(0 if held else 1)


if __name__ == "__main__":
    main()
