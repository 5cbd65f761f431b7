"""Damage, charging and drift told apart: series planted by lot, each with one cause, judged by `ask trust`.

    python benchmarks/practice_series.py              60 series
    python benchmarks/practice_series.py --series 6   a short look

Each is a short shift of its own: a standard, a series on one spot and a fresh spot, the standard again. Kind,
size, number of scans and edge-side specimen are drawn here and stand in no scenario. Named rightly means that
the right one of the three codes is said and neither of the others.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import practice_scenario
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.practice import Scenario, planted, shift
from edgeshift.practice.scenario import Block, Damage, TrapPlan

CODES = {"damage": "damage", "charging": "charging", "drift": "slide-of-energy"}
GOAL = 0.90
FIRST_SEED = 9000


def drawn(kind: str, rng: np.random.Generator, usual: Scenario) -> Scenario:
    """A short shift with one cause; sizes by lot."""
    many = int(rng.integers(5, 8))
    specimen = str(rng.choice(["RAW-A", "RAW-B", "RAW-C"]))
    series = Block("Fe L", (*["s5"] * many, "s6"), (specimen,), beam_mm2=1.0 if kind == "damage" else 20.0)
    standard = Block("Fe L", ("s1",), ("GOETHITE",))
    iron = replace(
        usual.edges["Fe L"], damage=Damage(("raw",), -rng.uniform(0.15, 0.3), rng.uniform(5.0, 10.0))
    )
    here = {"edge": "Fe L", "specimens": [specimen], "spots": ["s5", "s6"]}
    after = {"after": {"edge": "Fe L", "specimens": [specimen], "nth": int(rng.integers(2, many - 1))}}
    plants = {
        "damage": (),
        "charging": (
            {"scans": here, "sag": float(rng.uniform(0.12, 0.35)), "sag_s": float(rng.uniform(30, 120))},
        ),
        "drift": ({"scans": after, "slide_ev": float(rng.uniform(0.15, 0.5) * rng.choice([-1, 1]))},),
    }[kind]
    return replace(
        usual,
        edges={**usual.edges, "Fe L": iron},
        schedule=(standard, series, standard),
        traps={"X1": TrapPlan("X1", kind, plants, ())},
    )


def said(kind: str, seed: int, usual: Scenario) -> frozenset[str]:
    """Which of the three codes the trust answer names for one planted series."""
    scenario = drawn(kind, np.random.default_rng([seed, 1]), usual)
    made, desk = shift(scenario, seed, planted(scenario, "all")), steady_desk()
    with tempfile.TemporaryDirectory() as kept:
        place = Path(kept) / "series"
        with ExperimentFolder.create(place, made.experiment_text, desk.now()) as folder:
            take(folder, [(file.name, file.data) for file in made.files], desk)
            found = answer(Session(folder), "trust")[0]
    codes = {fact.code for fact in found.because}
    codes |= {reason["code"] for told in found.detail["scans"].values() for reason in told["reasons"]}
    return frozenset(codes & set(CODES.values()))


def main() -> int:
    """Print what was named for what was planted; 0 only where the goal is met."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--series", type=int, default=60)
    options.add_argument("--first", type=int, default=FIRST_SEED)
    asked = options.parse_args()
    usual, counted, right = practice_scenario(), Counter(), 0
    for number in range(asked.series):
        kind = list(CODES)[number % len(CODES)]
        named = said(kind, asked.first + number, usual)
        counted[kind, " and ".join(sorted(named)) or "nothing"] += 1
        right += named == {CODES[kind]}
    for (kind, named), count in sorted(counted.items()):
        print(f"planted {kind:9} named {named}: {count}")
    print(f"told apart in {right} of {asked.series} = {right / asked.series:.3f} (at least {GOAL})")
    return 0 if right >= GOAL * asked.series else 1


if __name__ == "__main__":
    sys.exit(main())
