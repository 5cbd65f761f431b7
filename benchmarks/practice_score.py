"""What is caught of the practice shifts: every trap over many seeds, false alarms, and the two true effects.

    python benchmarks/practice_score.py                    20 seeds of every scored run, 200 of the effects
    python benchmarks/practice_score.py --seeds 2 --effects 0   a short look

Two runs a seed. As landed: the answers alone. Scripted host: a host who follows what the answers propose and
logs every judgement: sets aside what `ask trust` says to doubt by name, relabels what looks swapped, and ties
every edge by the slide that is proposed. Scores are per shift; the table sums the club's three shifts.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from edgeshift.actions.ask import answer  # noqa: E402
from edgeshift.actions.desk import steady_desk  # noqa: E402
from edgeshift.actions.note import Who, judge, tie  # noqa: E402
from edgeshift.actions.practise import How, practise  # noqa: E402
from edgeshift.actions.score import score  # noqa: E402
from edgeshift.actions.session import Session  # noqa: E402
from edgeshift.folder.experiment_folder import ExperimentFolder  # noqa: E402
from edgeshift.records.shift_state import DeclaredTie  # noqa: E402

RUNS = ("as landed", "scripted host")
TRAPS = [f"T{number}" for number in range(1, 21)]
SHIFTS = ("riverbank", "riverbank-2", "riverbank-3")
TOOK_S: list[float] = []
PROCESSES = 2
AFTERWARDS = "2026-04-01T12:00:00.000Z"
MOST_S = 60.0
"""A shift is generated, taken and answered within so long."""
NEVER_MISSED = ("T1", "T2", "T4", "T5", "T10", "T14")
ASIDE = ("trip", "beam-dropped", "off-specimen", "burnt-before", "no-division", "labels-swapped")
"""Reasons for which the scripted host sets a scan aside that the tool kept with a note."""
EFFECTS = {"Al K": 0.95, "Fe L": 0.80}
"""True effects of the first shift, and how often the scripted host must have them at the units rung."""


def host_acts(place: Path) -> None:
    """What the scripted host enters: set aside what is doubted by name, tie what is proposed."""
    desk = steady_desk("2026-04-01T08:00:00.000Z")
    with ExperimentFolder.open(place) as folder:
        found = answer(Session(folder), "trust")[0]
        who = Who("host", "as the answers propose")
        for entry in found.detail["scans"].values():
            codes = {reason["code"] for reason in entry["reasons"]} & set(ASIDE)
            if codes and entry["verdict"] != "set-aside" and not entry.get("copy_of"):
                judge(folder, desk, who, entry["scan"], "set-aside")
        for fact in found.because:
            if fact.code == "slide-of-energy" and fact.value is not None:
                scans = tuple(ref.key for ref in fact.evidence if ref.kind == "scan")
                size = DeclaredTie(-fact.value, fact.uncertainty or 0.05, "the standard, before", None, scans)
                if scans:
                    tie(folder, desk, who, size)


def one(scenario: str, seed: int):
    """Both scored runs of one shift with every trap, and how long it took to be made, taken and answered."""
    with tempfile.TemporaryDirectory() as kept:
        place, begun = Path(kept) / scenario, time.perf_counter()
        practise(place, seed, desk=steady_desk(), how=How(scenario, "all"))
        took_s = time.perf_counter() - begun
        landed = score(place, desk=steady_desk(AFTERWARDS))
        host_acts(place)
        return landed, score(place, desk=steady_desk(AFTERWARDS)), took_s


def lit(seed: int) -> set[str]:
    """Edges of the first shift at which the scripted host has the units rung lit."""
    with tempfile.TemporaryDirectory() as kept:
        place = Path(kept) / "riverbank"
        practise(place, seed, desk=steady_desk(), how=How(traps="all"))
        host_acts(place)
        with ExperimentFolder.open(place) as folder:
            return {a.edge for a in answer(Session(folder), "real") if a.edge and a.verdict == "units"}


def counted(seeds: range) -> tuple[dict[str, Counter], dict[str, Counter], int]:
    """Hits by run and trap, false alarms by run and code, and how many scans were clean."""
    hits: dict[str, Counter] = {name: Counter() for name in RUNS}
    false: dict[str, Counter] = {name: Counter() for name in RUNS}
    clean = 0
    shifts = [(name, seed) for seed in seeds for name in SHIFTS]
    with ProcessPoolExecutor(PROCESSES) as several:
        done = list(several.map(one, *zip(*shifts, strict=True)))
    for *runs, took_s in done:
        TOOK_S.append(took_s)
        clean += runs[0].clean
        for name, run in zip(RUNS, runs, strict=True):
            hits[name].update(call.trap for call in run.calls if call.outcome == "hit")
            false[name].update(" ".join(call.codes) for call in run.calls if call.outcome == "false-alarm")
    return hits, false, clean


def caught(seeds: range) -> bool:
    """Print the table of traps; whether its goals are met."""
    hits, false, clean = counted(seeds)
    print(f"{len(seeds)} seeds of {', '.join(SHIFTS)}, every trap planted")
    print("trap   " + "   ".join(RUNS))
    for name in TRAPS:
        print(f"{name:5}" + "".join(f"{hits[run][name]:{len(run) + 2}}" for run in RUNS))
    means = {run: hits[run].total() / len(seeds) for run in RUNS}
    for run in RUNS:
        print(f"{run}: caught on average {means[run]:.1f} of {len(TRAPS)} (at least 18)")
        print(
            f"{run}: false alarms {false[run].total()} on {clean} clean scans (at most {clean // 20})",
            end=" ",
        )
        print(dict(false[run]))
    always = {name: min(hits[run][name] for run in RUNS) for name in NEVER_MISSED}
    print(f"never to be missed: {always} of {len(seeds)}")
    enough = min(means.values()) >= 18 and min(always.values()) == len(seeds)
    print(f"generated, taken and answered in {max(TOOK_S):.1f} s at most (below {MOST_S:.0f})")
    return enough and max(TOOK_S) < MOST_S and all(false[run].total() <= clean / 20 for run in RUNS)


def found(seeds: range) -> bool:
    """Print how often the scripted host has the two true effects; whether that is often enough."""
    told: Counter = Counter()
    with ProcessPoolExecutor(PROCESSES) as several:
        for edges in several.map(lit, seeds):
            told.update(edges)
    for edge, goal in EFFECTS.items():
        share = told[edge] / len(seeds)
        print(f"{edge}: units rung lit in {share:.3f} of {len(seeds)} seeds (at least {goal})")
    return all(told[edge] >= goal * len(seeds) for edge, goal in EFFECTS.items())


def main() -> int:
    """Print both tables; 0 only where every goal is met."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--seeds", type=int, default=20)
    options.add_argument("--first", type=int, default=5000)
    options.add_argument("--effects", type=int, default=200)
    asked = options.parse_args()
    met = [caught(range(asked.first, asked.first + asked.seeds))] if asked.seeds else []
    met += [found(range(asked.first, asked.first + asked.effects))] if asked.effects else []
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
