"""What the riverbank's files carry: how often a plain reading of them finds each edge's treatment.

    python benchmarks/practice_truth.py             200 seeds
    python benchmarks/practice_truth.py --seeds 20  a short look

The files are read with numpy alone: drain over mesh, a line (K) or a level (L) below the edge taken away,
the declared feature per scan, then scans to spots to units, then the paired t test. Points that were hit by
a blip or an injection are left out with the truth's help, so this measures the planted scatter and not
anybody's way of finding troubles. Al and Fe share one family (Holm, 5 %); the others stand alone at 5 %.
"drawn" is the same test on the true features of the units, before noise, drift and reading.
"""

from __future__ import annotations

import argparse
import io
from importlib.resources import files
from pathlib import PurePath

import numpy as np
from scipy.special import stdtr

import edgeshift.practice as practice

LEVEL, FAMILY = 0.05, ("Al K", "Fe L")
BELOW_EV = {
    "Al K": (1550, 1560),
    "Fe L": (698, 704),
    "K L": (294.2, 295.2),
    "Ti L": (450, 456),
    "Si K": (1832, 1841),
}
STEP_EV = {"Si K": (1878, 1892)}


def riverbank() -> practice.Scenario:
    """The packaged scenario."""
    return practice.scenario_from_text((files(practice) / practice.SCENARIOS["riverbank"]).read_text("utf-8"))


def header(data: bytes) -> dict[str, str]:
    """The `# key: value` lines of a file."""
    lines = [line[2:] for line in data.decode().splitlines() if line.startswith("# ") and ": " in line]
    return dict(line.split(": ", 1) for line in lines)


def reading(data: bytes, edge: str, feature, left_out: tuple[int, ...], beamline) -> float:
    """The declared feature of one file."""
    energy, mesh, drain = np.loadtxt(io.BytesIO(data), usecols=(0, 1, 2), unpack=True)
    ratio = -(drain - beamline.drain_dark_amp) / (mesh - beamline.mesh_dark_volt)
    kept = np.setdiff1d(np.arange(energy.size), left_out)
    energy, ratio = energy[kept], ratio[kept]
    low, high = BELOW_EV[edge]
    below = (energy >= low) & (energy <= high)
    degree = 1 if edge.endswith(" K") else 0
    ratio = ratio - np.polyval(np.polyfit(energy[below], ratio[below], degree), energy)
    fine = [np.linspace(*window, 61) for window in feature.windows]
    means = [np.interp(at, energy, ratio).mean() for at in fine]
    if feature.kind == "ratio":
        return float(means[0] / means[1])
    low, high = STEP_EV[edge]
    return float(means[0] / ratio[(energy >= low) & (energy <= high)].mean())


def unit_features(made: practice.Shift, scenario: practice.Scenario) -> dict[str, dict[str, float]]:
    """Mean feature of every unit, edge by edge: scans to spots, spots to units."""
    owner = {specimen.name: specimen.unit for specimen in scenario.experiment.specimens}
    spots: dict[tuple[str, str, str], list[float]] = {}
    for file in made.files:
        said, befell = header(file.data), made.truth.scans[file.name]
        feature = made.truth.edges[said["edge"]].feature
        hit = (*befell.blips, *befell.injected)
        value = reading(file.data, said["edge"], feature, hit, scenario.beamline)
        spots.setdefault((said["edge"], owner[said["specimen"]], said["spot"]), []).append(value)
    units: dict[str, dict[str, list[float]]] = {}
    for (edge, unit, _), values in spots.items():
        units.setdefault(edge, {}).setdefault(unit, []).append(float(np.mean(values)))
    return {edge: {unit: float(np.mean(v)) for unit, v in each.items()} for edge, each in units.items()}


def differences(units: dict[str, float], scenario: practice.Scenario) -> np.ndarray:
    """Fired minus raw, pair by pair."""
    place = {(u.pair, u.arm): u.name for u in scenario.experiment.units}
    pairs = sorted({u.pair for u in scenario.experiment.units if u.name in units})
    return np.array([units[place[pair, "fired"]] - units[place[pair, "raw"]] for pair in pairs])


def chance(moves: np.ndarray) -> float:
    """Two-sided chance of the paired t test."""
    t = abs(moves.mean()) / (moves.std(ddof=1) / np.sqrt(moves.size))
    return float(2.0 * stdtr(moves.size - 1, -t))


def lit(chances: dict[str, float]) -> dict[str, bool]:
    """Holm over the family, the others on their own."""
    verdicts = {edge: p <= LEVEL for edge, p in chances.items()}
    first, second = sorted(FAMILY, key=chances.__getitem__)
    verdicts[first] = chances[first] <= LEVEL / 2
    verdicts[second] = verdicts[first] and chances[second] <= LEVEL
    return verdicts


def main() -> None:
    """Print one line an edge."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--seeds", type=int, default=200)
    seeds = options.parse_args().seeds
    scenario = riverbank()
    moves: dict[str, list[np.ndarray]] = {edge: [] for edge in scenario.edges}
    counts = {edge: [0, 0] for edge in scenario.edges}
    for seed in range(seeds):
        made = practice.shift(scenario, seed)
        read = {edge: differences(each, scenario) for edge, each in unit_features(made, scenario).items()}
        drawn = {
            edge: differences({name: unit.feature for name, unit in truth.units.items()}, scenario)
            for edge, truth in made.truth.edges.items()
        }
        for column, found in enumerate((read, drawn)):
            for edge, yes in lit({edge: chance(each) for edge, each in found.items()}).items():
                counts[edge][column] += yes
        for edge, each in read.items():
            moves[edge].append(each)
    print(f"{PurePath(__file__).name}: {seeds} seeds, riverbank, every number of it invented")
    print("edge   pairs  true move     read  sd of a pair   lit  drawn")
    for edge, truth in made.truth.edges.items():
        every = np.concatenate(moves[edge])
        true = truth.difference("raw", "fired")
        row = f"{edge:6} {moves[edge][0].size:5} {true:10.4f} {every.mean():8.4f} {every.std(ddof=1):13.4f}"
        print(f"{row} {counts[edge][0]:5} {counts[edge][1]:6}")


if __name__ == "__main__":
    main()
