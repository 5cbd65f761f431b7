"""How claims bear stress: planted false claims and true ones over practice shifts, under every change tried.

    python benchmarks/claim_stress.py             50 shifts
    python benchmarks/claim_stress.py --shifts 2  a short look

Every seed is a practice shift with no trap, measured to its end. Two claims are true by how the shift was
made: aluminium and iron change with the firing. The others are false: potassium and titanium do not differ,
and silicon was measured on two pairs only, too few for the level that is asked. Each is held against the data
and tried under every change that `ask say` tries. A claim survives a change if the level it asks for is
still carried then; under exchanged labels, if it was carried and is no longer. Printed is the mean share of
changes survived. The goals: under 10 % for every false claim, over 90 % for the true ones that were carried
to begin with; how often that is stands beside it.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import NamedTuple

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from edgeshift.actions import claims  # noqa: E402
from edgeshift.actions.ask import answer  # noqa: E402
from edgeshift.actions.desk import steady_desk  # noqa: E402
from edgeshift.actions.entering import Who  # noqa: E402
from edgeshift.actions.practise import How, practise  # noqa: E402
from edgeshift.actions.session import Session  # noqa: E402
from edgeshift.folder.experiment_folder import ExperimentFolder  # noqa: E402

FIRST_SEED = 12000
"""No threshold was chosen on these."""
FALSE_MOST, TRUE_LEAST = 0.10, 0.90
AL = {"kind": "ratio", "windows": [[1566.05, 1566.35], [1568.05, 1568.35]]}
TI = {"kind": "ratio", "windows": [[459.8, 460.0], [460.7, 460.9]]}


class Planted(NamedTuple):
    """A claim, and whether it is true by how the shift was made."""

    true: bool
    said: claims.Said


PLANTED = {
    "aluminium differs": Planted(
        True, claims.Said("aluminium differs", 3, edge="Al K", feature=AL, higher="fired")
    ),
    "iron differs": Planted(True, claims.Said("iron differs", 3, edge="Fe L")),
    "potassium differs": Planted(False, claims.Said("potassium differs", 3, edge="K L")),
    "these two titanium differ": Planted(False, claims.Said("these two differ", 2, edge="Ti L", feature=TI)),
    "silicon, from two pairs": Planted(False, claims.Said("silicon differs", 3, edge="Si K")),
}


class Borne(NamedTuple):
    """One claim of one shift: whether the data carry it, and survived and tried changes by kind."""

    carried: bool
    kinds: dict[str, tuple[int, int]]

    @property
    def share(self) -> float:
        """Survived of all tried."""
        kept, tried = map(sum, zip(*self.kinds.values(), strict=True))
        return kept / tried


def borne(seed: int) -> dict[str, Borne]:
    """Every planted claim of one shift."""
    desk = steady_desk()
    with tempfile.TemporaryDirectory() as kept:
        place = Path(kept) / "riverbank"
        practise(place, seed, desk=desk, how=How(asked=False))
        with ExperimentFolder.open(place) as folder:
            lines = {
                claims.claim(folder, desk, Who("student"), one.said).number: name
                for name, one in PLANTED.items()
            }
            found = answer(Session(folder, desk), "say", stress=True)
    told = {}
    for one in found:
        kinds = one.detail["survives"]["kinds"].items()
        by_kind = {kind: (count["kept"], count["tried"]) for kind, count in kinds}
        told[lines[one.detail["claim"]["line"]]] = Borne(one.verdict == "carried", by_kind)
    return told


def mean_share(shifts: list[dict[str, Borne]], name: str, only_carried: bool) -> float | None:
    """The mean share survived of one claim; None where no shift counts."""
    shares = [one[name].share for one in shifts if one[name].carried or not only_carried]
    return sum(shares) / len(shares) if shares else None


def told(shifts: list[dict[str, Borne]]) -> bool:
    """Print the table; whether every goal is met."""
    met = True
    print(f"{'claim':28}{'true':6}{'carried':>8}{'survives':>10}{'if carried':>12}   by kind, all shifts")
    for name, one in PLANTED.items():
        tally: Counter = Counter()
        for shift in shifts:
            for kind, (kept, tried) in shift[name].kinds.items():
                tally[kind, "kept"] += kept
                tally[kind, "tried"] += tried
        kinds = dict.fromkeys(kind for kind, _ in tally)
        by_kind = ", ".join(f"{kind} {tally[kind, 'kept'] / tally[kind, 'tried']:.2f}" for kind in kinds)
        every, when = mean_share(shifts, name, False), mean_share(shifts, name, True)
        times = sum(shift[name].carried for shift in shifts) / len(shifts)
        shown = "-" if when is None else f"{when:.3f}"
        print(f"{name:28}{'yes' if one.true else 'no':6}{times:8.2f}{every:10.3f}{shown:>12}   {by_kind}")
        met = met and (when is not None and when > TRUE_LEAST if one.true else every < FALSE_MOST)
    return met


def main() -> int:
    """Print what was survived; 0 only where every goal is met."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--shifts", type=int, default=50)
    options.add_argument("--first", type=int, default=FIRST_SEED)
    options.add_argument("--processes", type=int, default=2)
    asked = options.parse_args()
    seeds = range(asked.first, asked.first + asked.shifts)
    with ProcessPoolExecutor(asked.processes) as several:
        found = list(several.map(borne, seeds))
    print(f"{asked.shifts} practice shifts")
    return 0 if told(found) else 1


if __name__ == "__main__":
    sys.exit(main())
