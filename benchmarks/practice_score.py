"""What is caught of the practice shifts: every trap over many seeds, false alarms, and the two true effects.

    python benchmarks/practice_score.py                    20 seeds of every scored run, 200 of the effects
    python benchmarks/practice_score.py --seeds 2 --effects 0   a short look

Two runs a seed. As landed: the answers alone. Scripted host: a host who follows what the answers propose and
logs every judgement with a reason: sets aside what `ask trust` says to doubt by name, relabels what looks
swapped, and accepts a slide that is proposed on a standard and at two edges. Scores are per shift; the table
sums the club's three shifts.
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
from edgeshift.actions.desk import Desk, steady_desk  # noqa: E402
from edgeshift.actions.note import Who, judge, tie  # noqa: E402
from edgeshift.actions.note import place as put  # noqa: E402
from edgeshift.actions.practise import How, practise  # noqa: E402
from edgeshift.actions.score import score  # noqa: E402
from edgeshift.actions.session import Session  # noqa: E402
from edgeshift.folder.experiment_folder import ExperimentFolder  # noqa: E402
from edgeshift.records.answer import Fact  # noqa: E402
from edgeshift.records.event import Event  # noqa: E402
from edgeshift.records.shift_state import DeclaredTie  # noqa: E402
from edgeshift.wording.numbers import GIVE_OR_TAKE  # noqa: E402

RUNS = ("as landed", "scripted host")
TRAPS = [f"T{number}" for number in range(1, 21)]
SHIFTS = ("riverbank", "riverbank-2", "riverbank-3")
TOOK_S: list[float] = []
SLIDES_EV: list[float] = []
"""What the runs took, and every slide that the scripted host tied back."""
TRUE_SLIDE_EV, WITHIN_EV = 0.35, 0.05
"""What T2 plants, and how near the proposal must come."""
PROCESSES = 2
FIRST_SEED = 10000
"""Thresholds were chosen on seeds below; what is told here comes from others."""
AFTERWARDS = "2026-04-01T12:00:00.000Z"
MOST_S = 60.0
"""A shift is generated, taken and answered within so long."""
NEVER_MISSED = ("T1", "T2", "T4", "T5", "T10", "T14")
ASIDE = {
    "trip": "the beam was away",
    "beam-dropped": "the beam was away",
    "off-specimen": "the camera shows the beam beside the specimen",
    "burnt-before": "this spot had seen the tight beam",
    "damage": "the spot had changed by then",
    "charging": "its electrons sag, its fluorescence does not",
    "fingerprint-left": "its monitor did not see what the mirrors take",
}
"""Reasons for which the scripted host sets a scan aside that the tool kept, and what is logged."""
NO_TIME = "no minutes are left to scan it again"
"""Why a scan that the tool set aside is given up: the shift is over when the scripted host comes to it."""
EFFECTS = {"Al K": 0.95, "Fe L": 0.80}
"""True effects of the first shift, and how often the scripted host must have them at the units rung."""


def host_acts(place: Path) -> tuple[float, ...]:
    """What the scripted host enters, every act with its reason; the slides in eV that were tied back."""
    desk = steady_desk("2026-04-01T08:00:00.000Z")
    with ExperimentFolder.open(place) as folder:
        session = Session(folder)
        found, known = answer(session, "trust")[0], session.known()
        scans = {scan.key: scan for some in known.scans.values() for scan in some}
        for finding in found.detail["findings"]:
            if finding["code"] == "labels-swapped":
                relabel(folder, desk, finding["scans"], scans)
        for entry in found.detail["scans"].values():
            why = [ASIDE[reason["code"]] for reason in entry["reasons"] if reason["code"] in ASIDE]
            lost = entry["verdict"] == "set-aside"
            if (why or lost) and not entry.get("copy_of"):
                judge(folder, desk, Who("host", why[0] if why else NO_TIME), entry["scan"], "set-aside")
        kinds = {specimen.name: specimen.kind for specimen in known.experiment.specimens}
        return tuple(
            fact.value for fact in found.because if tie_back(folder, desk, fact, scans, kinds) is not None
        )


def relabel(folder: ExperimentFolder, desk: Desk, keys: list[str], scans: dict) -> None:
    """Give the scans of two specimens each other's name, as the photo of the holder shows."""
    names = list(dict.fromkeys(scans[key].place.specimen for key in keys))
    other = dict(zip(names, names[::-1], strict=True))
    for key in keys:
        where, why = scans[key].place, Who("host", "the photo of the holder shows it")
        put(folder, desk, why, key, other[where.specimen], where.spot)


def tie_back(folder: ExperimentFolder, desk: Desk, fact: Fact, scans: dict, kinds: dict) -> Event | None:
    """Accept a tie that is proposed on a standard and at two edges or more; nothing else is tied."""
    keys = tuple(ref.key for ref in fact.evidence if ref.kind == "scan")
    edges = {scans[key].edge for key in keys}
    standards = {name for key in keys if kinds.get(name := scans[key].place.specimen) == "standard"}
    if fact.code != "slide-of-energy" or not standards or len(edges) < 2:
        return None
    why = Who("host", f"{' and '.join(sorted(standards))} and {len(edges)} edges slid alike")
    size = DeclaredTie(
        -fact.value, fact.uncertainty / GIVE_OR_TAKE, "the standards' own scans before", None, keys
    )
    return tie(folder, desk, why, size)


def one(scenario: str, seed: int):
    """Both scored runs of one shift with every trap, and how long it took to be made, taken and answered."""
    with tempfile.TemporaryDirectory() as kept:
        place, begun = Path(kept) / scenario, time.perf_counter()
        practise(place, seed, desk=steady_desk(), how=How(scenario, "all"))
        took_s = time.perf_counter() - begun
        landed = score(place, desk=steady_desk(AFTERWARDS))
        tied = host_acts(place)
        return landed, score(place, desk=steady_desk(AFTERWARDS)), took_s, tied


def lit(seed: int) -> set[str]:
    """Edges of the first shift with the units rung lit for the scripted host, looking once, at the end."""
    with tempfile.TemporaryDirectory() as kept:
        place = Path(kept) / "riverbank"
        practise(place, seed, desk=steady_desk(), how=How(traps="all", asked=False))
        host_acts(place)
        with ExperimentFolder.open(place) as folder:
            return {a.edge for a in answer(Session(folder), "real") if a.edge and a.verdict == "units"}


def counted(seeds: range) -> tuple[dict[str, Counter], dict[str, Counter], Counter, int]:
    """Hits by run and trap, false alarms by run and code, those on clean scans by run, and clean scans."""
    hits: dict[str, Counter] = {name: Counter() for name in RUNS}
    false: dict[str, Counter] = {name: Counter() for name in RUNS}
    clean, alarms = 0, Counter()
    shifts = [(name, seed) for seed in seeds for name in SHIFTS]
    with ProcessPoolExecutor(PROCESSES) as several:
        done = list(several.map(one, *zip(*shifts, strict=True)))
    for *runs, took_s, tied in done:
        TOOK_S.append(took_s)
        SLIDES_EV.extend(tied)
        clean += runs[0].clean
        for name, run in zip(RUNS, runs, strict=True):
            alarms[name] += run.clean_alarms
            hits[name].update(call.trap for call in run.calls if call.outcome == "hit")
            false[name].update(" ".join(call.codes) for call in run.calls if call.outcome == "false-alarm")
    return hits, false, alarms, clean


def caught(seeds: range) -> bool:
    """Print the table of traps; whether its goals are met."""
    hits, false, alarms, clean = counted(seeds)
    print(f"{len(seeds)} seeds of {', '.join(SHIFTS)}, every trap planted")
    print("trap   " + "   ".join(RUNS))
    for name in TRAPS:
        print(f"{name:5}" + "".join(f"{hits[run][name]:{len(run) + 2}}" for run in RUNS))
    means = {run: hits[run].total() / len(seeds) for run in RUNS}
    for run in RUNS:
        print(f"{run}: caught on average {means[run]:.1f} of {len(TRAPS)} (at least 18)")
        print(
            f"{run}: false alarms {alarms[run]} on {clean} clean scans (at most {clean // 20}),"
            f" {false[run].total() - alarms[run]} on scans that a trap touches; all of them:"
        )
        print("  " + ", ".join(f"{code} {count}" for code, count in false[run].most_common()))
    always = {name: min(hits[run][name] for run in RUNS) for name in NEVER_MISSED}
    print(f"never to be missed: {always} of {len(seeds)}")
    enough = min(means.values()) >= 18 and min(always.values()) == len(seeds)
    print(f"generated, taken and answered in {max(TOOK_S):.1f} s at most (below {MOST_S:.0f})")
    off = [abs(slide - TRUE_SLIDE_EV) for slide in SLIDES_EV] or [float("inf")]
    print(f"T2's slide: {len(SLIDES_EV)} ties, off by {max(off):.3f} eV at most (within {WITHIN_EV})")
    enough = enough and len(SLIDES_EV) == len(seeds) and max(off) <= WITHIN_EV
    return enough and max(TOOK_S) < MOST_S and all(alarms[run] <= clean / 20 for run in RUNS)


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
    options.add_argument("--first", type=int, default=FIRST_SEED)
    options.add_argument("--effects", type=int, default=200)
    asked = options.parse_args()
    met = [caught(range(asked.first, asked.first + asked.seeds))] if asked.seeds else []
    met += [found(range(asked.first, asked.first + asked.effects))] if asked.effects else []
    return 0 if all(met) else 1


if __name__ == "__main__":
    sys.exit(main())
