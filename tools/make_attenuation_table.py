"""Write src/edgeshift/practice/attenuation_values.py from a library of X-ray data.

Run with the dependency group `tables`:  python tools/make_attenuation_table.py
The library is only needed here; edgeshift itself reads the written file.
"""

from __future__ import annotations

from importlib.metadata import version
from pathlib import Path

TARGET = Path(__file__).resolve().parents[1] / "src" / "edgeshift" / "practice" / "attenuation_values.py"
ELEMENTS = ("H", "C", "O", "Al", "Si", "K", "Ca", "Ti", "Fe", "In")
LOWEST_EV, HIGHEST_EV, STEPS = 250.0, 2000.0, 20
BESIDE_EV = (1.0, 6.0)
"""Attenuation jumps at an edge: values stand so far below and above it."""

HEAD = '''"""Mass attenuation of atoms, written by tools/make_attenuation_table.py: do not edit by hand.

Total attenuation, Elam, Ravel and Sieber 2002 (Radiat. Phys. Chem. 63, 121), through xraydb {version}.
None of it holds near-edge structure. A row: energy in eV, cm² per g.
"""

TABLE = {{
'''


def render() -> str:
    """The whole module as text."""
    import xraydb

    lines = [HEAD.format(version=version("xraydb"))]
    for element in ELEMENTS:
        rows = (
            f"({energy:.1f}, {float(xraydb.mu_elam(element, energy)):.6g})"
            for energy in _grid(xraydb, element)
        )
        lines.append(f'    "{element}": (\n' + "".join(f"        {row},\n" for row in rows) + "    ),\n")
    return "".join(lines) + "}\n"


def _grid(xraydb, element: str) -> list[float]:
    """Energies evenly spaced in their logarithm, with a pair around every edge."""
    ratio = (HIGHEST_EV / LOWEST_EV) ** (1.0 / STEPS)
    energies = {round(LOWEST_EV * ratio**step, 1) for step in range(STEPS + 1)}
    for edge in xraydb.xray_edges(element).values():
        if LOWEST_EV < edge.energy < HIGHEST_EV:
            energies |= {round(edge.energy + sign * by, 1) for by in BESIDE_EV for sign in (-1, 1)}
    return sorted(energies)


if __name__ == "__main__":
    TARGET.write_text(render(), encoding="utf-8")
    print(f"{TARGET.name} written")
