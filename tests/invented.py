"""Small invented experiments for tests: curves with a known difference, arranged arm, unit, spot, scan."""

from __future__ import annotations

import numpy as np

from edgeshift.numerics.edges import double_step
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.records.spectrum import Pass, Spectrum

ENERGY = np.linspace(1550, 1612, 249)
EDGE = "Al K"


def curve(line_height: float, shift_ev: float = 0.0, energy: np.ndarray = ENERGY) -> np.ndarray:
    """An edge of step one with a line of the given height on it."""
    step = double_step(energy, (1567.0 + shift_ev,), (1.4,), (1.0,))
    return step + line_height * np.exp(-(((energy - 1568 - shift_ev) / 1.2) ** 2))


def experiment(units: dict[str, list[tuple[str, str | None]]], **more) -> Experiment:
    """Arms in order (the first is the control), each with (unit, pair); one specimen for each unit."""
    every = [(arm, unit, pair) for arm, listed in units.items() for unit, pair in listed]
    text = {
        "question": "Does the fire change the clay?",
        "arms": [{"name": arm, "control": arm == next(iter(units))} for arm in units],
        "units": [{"name": unit, "arm": arm, "pair": pair} for arm, unit, pair in every],
        "specimens": [{"name": unit, "unit": unit} for _, unit, _ in every],
    }
    return Experiment.model_validate({**text, **more})


def spectrum(key: str, value: np.ndarray, place: Place, sigma: float = 0.01, **more) -> Spectrum:
    """A spectrum in edge steps on the invented energies."""
    more = {"unit": "step", "edge": EDGE, "scans": (key,), **more}
    flags = np.zeros(len(value), dtype=np.int64)
    return Spectrum(key, ENERGY, value, np.full(len(value), sigma), flags, place=place, **more)


def edge_set(spots: list[tuple[Place, list[np.ndarray]]], sigma: float = 0.01) -> EdgeSet:
    """An edge set whose spots are the means of the scans given for each place."""
    singles, means = {}, []
    for place, rows in spots:
        keys = tuple(f"scan-{len(singles) + n + 1:03d}" for n in range(len(rows)))
        for key, row in zip(keys, rows, strict=True):
            singles[key] = spectrum(key, row, place, sigma)
        noise = sigma / np.sqrt(len(rows))
        means.append(spectrum("+".join(keys), np.mean(rows, axis=0), place, noise, scans=keys))
    return EdgeSet(EDGE, (), singles, tuple(means), Recipe(), ())


def scan(
    key: str = "scan-001", signal: np.ndarray | None = None, i0: np.ndarray | None = None, **more
) -> Scan:
    """A scan in volts with an I0, on as many energies as the signal has points."""
    signal = curve(1.0) if signal is None else signal
    i0 = np.ones(len(signal)) if i0 is None else i0
    energy = more.pop("energy_ev", ENERGY[: len(signal)])
    channels = more.pop("channels", None) or {
        "electron-yield": Channel("electron-yield", signal[None, :], "V", ("yield",)),
        "i0": Channel("i0", i0[None, :], "V", ("i0",)),
    }
    settings = {"file": f"{key}.dat", "sha256": key, "edge": EDGE, "signal": next(iter(channels)), **more}
    return Scan(key=key, energy_ev=energy, dwell_s=np.ones(len(energy)), channels=channels, **settings)


def passed(one: Scan) -> Pass:
    """The scan at the start of the reduction."""
    return Pass(one, np.zeros(len(one.energy_ev), dtype=np.int64), {}, {})
