"""Write src/edgeshift/tables/absorption_values.py from three sets of X-ray attenuation.

Run with the dependency group `tables`:  python tools/make_absorption_table.py
The libraries are only needed here; edgeshift itself reads the written file.
"""

from __future__ import annotations

import math
from importlib.metadata import version
from itertools import pairwise
from pathlib import Path

import numpy as np

TARGET = Path(__file__).resolve().parents[1] / "src" / "edgeshift" / "tables" / "absorption_values.py"
ELEMENTS = range(1, 93)
LOWEST_EV, HIGHEST_EV, STEPS = 200.0, 2200.0, 14
BESIDE_EV = (0.6, 6.0)
"""Every set jumps at an edge energy of its own: values stand so far below and above each of them."""
CLASSICAL_RADIUS_CM, HC_EV_CM = 2.8179403205e-13, 1.239841984332e-4
AVOGADRO = 6.02214076e23

HEAD = '''"""Mass attenuation of atoms, written by tools/make_absorption_table.py: do not edit by hand.

`SETS` are the three, in the order of the numbers. `WEIGHTS` are atomic weights. `TABLE[element]` holds a row
an energy: eV, then cm² per g by each set. Beside an edge the sets jump at different energies.
"""

SETS = (
    "Elam, Ravel and Sieber 2002, total, through xraydb {xraydb}",
    "Chantler 2000, total, through xraydb {xraydb}",
    "Henke, Gullikson and Davis 1993, photoabsorption, through periodictable {periodictable}",
)

'''


def main() -> None:
    """Write the table and say how long it became."""
    text = render()
    TARGET.write_text(text, encoding="utf-8")
    print(f"{TARGET.name}: {len(text)} bytes")


def render() -> str:
    """The whole module as text."""
    import periodictable
    import xraydb
    import xraylib

    head = HEAD.format(xraydb=version("xraydb"), periodictable=version("periodictable"))
    symbols = {number: xraydb.atomic_symbol(number) for number in ELEMENTS}
    weights = (f'    "{symbol}": {xraydb.atomic_mass(symbol):.6g},\n' for symbol in symbols.values())
    lines = [head, "WEIGHTS = {\n", *weights, "}\n\n# fmt: off\nTABLE = {\n"]
    for number, symbol in symbols.items():
        energies = np.array(_grid(xraydb, xraylib, number))
        columns = (
            xraydb.mu_elam(symbol, energies),
            xraydb.mu_chantler(symbol, energies),
            _henke(periodictable, symbol, energies),
        )
        rows = (
            f"({energy:.6g}, {', '.join(map(_four_digits, values))})"
            for energy, *values in zip(energies, *columns, strict=True)
        )
        lines.append(f'    "{symbol}": (\n{_filled(list(rows))}    ),\n')
    return "".join(lines) + "}\n# fmt: on\n"


def _four_digits(value: float) -> str:
    """The number with four digits, and never as a power of ten."""
    return f"{float(f'{value:.4g}'):g}" if value < 1e4 else str(int(float(f"{value:.4g}")))


def _filled(rows: list[str]) -> str:
    """Three rows a line."""
    return "".join(f"        {', '.join(rows[k : k + 3])},\n" for k in range(0, len(rows), 3))


def _henke(periodictable, symbol: str, energies: np.ndarray) -> np.ndarray:
    """Photoabsorption from the imaginary scattering factor: 2 r λ f2, in cm² per g."""
    element = getattr(periodictable, symbol)
    f2 = element.xray.scattering_factors(energy=energies / 1000.0)[1]
    return 2.0 * CLASSICAL_RADIUS_CM * HC_EV_CM / energies * f2 * AVOGADRO / element.mass


def _grid(xraydb, xraylib, number: int) -> list[float]:
    """Energies evenly spaced in their logarithm, and some around every edge of every set."""
    ratio = (HIGHEST_EV / LOWEST_EV) ** (1.0 / STEPS)
    energies = {round(LOWEST_EV * ratio**step, 1) for step in range(STEPS + 1)}
    edges = {edge.energy for edge in xraydb.xray_edges(number).values()}
    edges |= set(_second_edges(xraylib, number))
    for at in edges:
        if LOWEST_EV < at < HIGHEST_EV:
            energies |= {round(at + sign * by, 1) for by in BESIDE_EV for sign in (-1, 1)}
            energies |= {round(at * share, 1) for share in (0.95, 0.985, 1.015, 1.05)}
    inside = sorted(energy for energy in energies if LOWEST_EV <= energy <= HIGHEST_EV)
    return [inside[0], *(high for low, high in pairwise(inside) if high - low > 0.25)]


def _second_edges(xraylib, number: int):
    for shell in ("K", "L1", "L2", "L3", "M1", "M2", "M3", "M4", "M5"):
        try:
            energy = 1000.0 * xraylib.EdgeEnergy(number, getattr(xraylib, f"{shell}_SHELL"))
        except ValueError:
            continue
        if math.isfinite(energy) and energy > 0:
            yield energy


if __name__ == "__main__":
    main()
