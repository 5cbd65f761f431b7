"""Two hundred practice shifts through the ordinary path: how often each edge's rungs are lit.

    python benchmarks/practice_seeds.py                 200 seeds, two processes
    python benchmarks/practice_seeds.py --seeds 20      a short look

Every shift is made, taken into a folder and asked `real` once, as `edgeshift practice` does. Al K and Fe L
truly change, K L and Ti L do not. Si K changes by less than two pairs can show; beside its count stands the
power of a test that knows the true scatter, at the same level. Exit status 1 where a promise is missed.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np  # noqa: E402
from scipy.special import ndtr, ndtri  # noqa: E402

from edgeshift.actions.ask import answer  # noqa: E402
from edgeshift.actions.desk import steady_desk  # noqa: E402
from edgeshift.actions.practise import practice_scenario  # noqa: E402
from edgeshift.actions.session import Session  # noqa: E402
from edgeshift.actions.take import take  # noqa: E402
from edgeshift.folder.experiment_folder import ExperimentFolder  # noqa: E402
from edgeshift.practice import shift  # noqa: E402

EDGES = ("Al K", "Fe L", "K L", "Ti L", "Si K")
LEVEL = 0.05


def one_shift(seed: int) -> dict[str, dict]:
    """For each edge its rungs and its pairs' differences; for trust the kept and the reasoned scans."""
    made = shift(practice_scenario(), seed)
    desk = steady_desk()
    with (
        tempfile.TemporaryDirectory() as place,
        ExperimentFolder.create(Path(place) / "shift", made.experiment_text, desk.now()) as folder,
    ):
        take(folder, [(f.name, f.data) for f in made.files], desk)
        session = Session(folder)
        found = {a.edge: a.detail for a in answer(session, "real") if a.edge}
        scans = answer(session, "trust")[0].detail["scans"].values()
    reasons = [r["code"] for s in scans for r in s["reasons"]]
    return {
        "edges": {edge: {"rungs": d["rungs"], "moves": pair_moves(d)} for edge, d in found.items()},
        "verdicts": [s["verdict"] for s in scans],
        "reasons": reasons,
    }


def pair_moves(detail: dict) -> list[float]:
    """Within-pair differences of the declared feature, treated minus control."""
    pairs: dict[str, dict[str, float]] = {}
    for dot in detail["dots"]:
        pairs.setdefault(dot["pair"], {})[dot["arm"]] = dot["value"]
    return [both[detail["treated"][0]] - both[detail["control"]] for both in pairs.values() if len(both) == 2]


def known_scatter_power(moves: list[list[float]]) -> float:
    """Power of the two-sided test that knows the scatter, from the pair moves of all seeds.

    A shift in which a scan was set aside may have fewer pairs; the usual number of pairs is taken.
    """
    pairs = int(np.median([len(shift) for shift in moves]))
    moves = np.concatenate(moves)
    error = moves.std(ddof=1) / np.sqrt(pairs)
    away, limit = moves.mean() / error, ndtri(1 - LEVEL / 2)
    return float(ndtr(away - limit) + ndtr(-away - limit))


def count(seeds: int, processes: int) -> dict[str, float]:
    """Run and print; returns the shares that the promises speak of."""
    with ProcessPoolExecutor(processes) as pool:
        shifts = list(pool.map(one_shift, range(seeds), chunksize=4))
    shares = {}
    print(f"{seeds} practice shifts, one declared look     scans  spots  units lit")
    for edge in EDGES:
        rungs = [s["edges"][edge]["rungs"] for s in shifts]
        lit = [sum(r[rung] == "lit" for r in rungs) for rung in ("scans", "spots", "units")]
        shares[edge] = lit[2] / seeds
        print(f"  {edge:6}{lit[0]:>40}{lit[1]:>7}{lit[2]:>7}")
    shares["Si K power"] = known_scatter_power([s["edges"]["Si K"]["moves"] for s in shifts])
    print(f"  Si K: ours {shares['Si K']:.3f}, a test that knows the scatter {shares['Si K power']:.3f}")
    verdicts = [v for s in shifts for v in s["verdicts"]]
    aside, noted = verdicts.count("set-aside"), len(verdicts) - verdicts.count("keep")
    print(f"  scans {len(verdicts)}, set aside {aside}, with any note {noted}")
    for code in sorted({r for s in shifts for r in s["reasons"]}):
        print(f"    {code}: {sum(s['reasons'].count(code) for s in shifts)}")
    return shares


def main() -> None:
    """Print the counts and say whether the promises hold."""
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    arguments.add_argument("--seeds", type=int, default=200)
    arguments.add_argument("--processes", type=int, default=2)
    chosen = arguments.parse_args()
    shares = count(chosen.seeds, chosen.processes)
    promises = {
        "Al K lit in at least 99 %": shares["Al K"] >= 0.99,
        "Fe L lit in at least 85 %": shares["Fe L"] >= 0.85,
        "K L lit in at most 16 of 200": shares["K L"] <= 16 / 200,
        "Ti L lit in at most 16 of 200": shares["Ti L"] <= 16 / 200,
        "Si K lit in no more than its power and 7 points": shares["Si K"] <= shares["Si K power"] + 0.07,
    }
    for promise, held in promises.items():
        print(f"  {'held  ' if held else 'MISSED'} {promise}")
    sys.exit(0 if all(promises.values()) else 1)


if __name__ == "__main__":
    main()
