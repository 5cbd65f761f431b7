"""Kill `edgeshift take` at random instants and count what was lost. Nothing that was acknowledged may be.

    python benchmarks/kill_take.py            a hundred kills
    python benchmarks/kill_take.py 10 --seed 3

Prints one line a kill and a summary; ends with 1 where anything acknowledged is missing.
"""

from __future__ import annotations

import argparse
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

from edgeshift.actions.desk import Desk
from edgeshift.actions.new import new
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.identity import sha256_of
from edgeshift.records.shift_state import replay

FILES = 24
POINTS = 400
STARTING_S, ONE_FILE_S = 0.6, 0.02
ACKNOWLEDGED = ": taken as scan-"


class Outcome(NamedTuple):
    """One kill: what was acknowledged before it, and everything that does not hold afterwards."""

    acknowledged: int
    losses: tuple[str, ...]


def invented_scan(number: int) -> bytes:
    """A text scan with clear columns, another for each number."""
    draw = random.Random(number)
    lines = ["# energy i0 tey"]
    for point in range(POINTS):
        beam = 100_000 + draw.randint(-300, 300)
        lines.append(
            f"{1550 + 0.1 * point:.2f} {beam} {beam * (1 + point / POINTS) / 5 + draw.randint(-99, 99):.1f}"
        )
    return ("\n".join(lines) + "\n").encode()


def source_files(folder: Path) -> dict[str, bytes]:
    """The files to be taken, written to `folder`: name -> bytes."""
    folder.mkdir(parents=True, exist_ok=True)
    files = {f"river-{number:02d}.dat": invented_scan(number) for number in range(FILES)}
    for name, data in files.items():
        (folder / name).write_bytes(data)
    return files


def start_take(shift: Path, sources: Path) -> subprocess.Popen:
    """`edgeshift take` as a process of its own, its acknowledgements on a pipe."""
    command = [sys.executable, "-m", "edgeshift.cli", "take", str(shift), str(sources)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)


def kill_once(place: Path, sources: Path, files: dict[str, bytes], draw: random.Random) -> Outcome:
    """Take, kill -9 at a random instant, open again, check everything, and take the rest.

    The instant lies a random moment (up to about one file's time) behind a random acknowledgement, or
    behind the start; so nearly every kill falls while something is being written.
    """
    new(place, "question: what is lost?\n", Desk()).close()
    process = start_take(place, sources)
    told = [process.stdout.readline() for _ in range(draw.randint(0, len(files) - 1))]
    time.sleep(draw.uniform(0.0, STARTING_S if not told else ONE_FILE_S))
    process.kill()
    told.append(process.communicate()[0])
    # a line cut off by the kill was not read by anybody, so it acknowledged nothing
    lines = b"".join(told).decode().split("\n")[:-1]
    names = [line.split(": ")[0] for line in lines if ACKNOWLEDGED in line]
    return Outcome(len(names), tuple(losses(place, files, names)))


def losses(place: Path, files: dict[str, bytes], acknowledged: list[str]) -> list[str]:
    """Everything that does not hold after a kill, in words; empty where nothing is lost."""
    found = []
    with ExperimentFolder.open(place) as folder:
        if not folder.book.whole():
            found.append("the book is not whole")
        arrivals = {arrival.file: arrival for arrival in replay(folder.events()).arrivals.values()}
        found += [f"{name} was acknowledged and is gone" for name in acknowledged if name not in arrivals]
        for name, arrival in arrivals.items():
            if folder.raw_bytes(arrival.sha256) != files[name] or arrival.sha256 != sha256_of(files[name]):
                found.append(f"{name} holds other bytes")
        take(folder, files.items(), Desk())
        again = replay(folder.events()).arrivals
        if sorted(arrival.file for arrival in again.values()) != sorted(files):
            found.append("taking the rest did not count every file once")
        if any(again[arrival.scan].file != arrival.file for arrival in arrivals.values()):
            found.append("a scan changed its key")
    kept = sorted(path.name for path in (place / "raw").iterdir() if not path.name.startswith("."))
    if kept != sorted(files):
        found.append(f"raw/ holds {len(kept)} files instead of {len(files)}")
    return found


def many(count: int, seed: int, room: Path) -> list[Outcome]:
    """`count` kills, each in a folder of its own under `room`."""
    files = source_files(room / "instrument")
    draw = random.Random(seed)
    return [kill_once(room / f"shift-{number}", room / "instrument", files, draw) for number in range(count)]


def main() -> int:
    """Run, print, and end with 1 where anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("count", type=int, nargs="?", default=100)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    with tempfile.TemporaryDirectory(prefix="edgeshift-kill-") as room:
        outcomes = many(options.count, options.seed, Path(room))
    for number, outcome in enumerate(outcomes, 1):
        words = "; ".join(outcome.losses) or "nothing lost"
        print(f"{number:4d}  {outcome.acknowledged:3d} acknowledged  {words}")
    lost = sum(bool(outcome.losses) for outcome in outcomes)
    during = sum(0 < outcome.acknowledged < FILES for outcome in outcomes)
    print(
        f"{len(outcomes)} kills, {during} of them between the first and the last file: {lost} lost anything."
    )
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
