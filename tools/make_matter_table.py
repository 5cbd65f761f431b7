"""Write src/edgeshift/tables/matter_values.py from a library of X-ray data.

Run with the dependency group `tables`:  python tools/make_matter_table.py
The library is only needed here; edgeshift itself reads the written file.
"""

from __future__ import annotations

import sys
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "src"))

from edgeshift.tables.edges import edges_between  # noqa: E402

TARGET = ROOT / "src" / "edgeshift" / "tables" / "matter_values.py"
ELEMENTS = (
    "H", "C", "N", "O", "F", "Na", "Mg", "Al", "Si", "P", "S", "Cl", "K", "Ca", "Sc", "Ti", "V", "Cr", "Mn",
    "Fe", "Co", "Ni", "Cu", "Zn", "Sr", "Y", "Zr", "Nb", "Mo", "Ag", "Cd", "In", "Sn", "Ba", "La", "Ce",
    "Au", "Pb",
)  # fmt: skip
LOWEST_EV, HIGHEST_EV, STEPS = 250.0, 2000.0, 24
MAIN_LINES = ("Ka1", "La1", "Ma")
BESIDE_EV = (1.0, 5.0, 18.0)
"""Attenuation jumps at an edge, where each table has it: values stand so far below and above."""

HEAD = '''"""Atoms and what they take from the light, written by tools/make_matter_table.py: not to be edited.

Molar masses, g/mol, and energies of the main emission line after each edge, eV. Total attenuation by two
independent tables: Elam, Ravel and Sieber 2002 (Radiat. Phys. Chem. 63, 121) and Chantler 2005 (NIST), both
through xraydb {version}. None of it holds near-edge structure. A row: energy in eV, cm2 per g by each.
"""

MASSES = {{
'''


def render() -> str:
    """The whole module as text."""
    import xraydb

    lines = [HEAD.format(version=version("xraydb"))]
    lines += [f'    "{each}": {float(xraydb.atomic_mass(each)):.4f},\n' for each in ELEMENTS]
    lines.append("}\n\nEMISSION_EV = {\n")
    lines += [f'    ("{e}", "{s}"): {energy:.1f},\n' for e, s, energy in _lines(xraydb)]
    lines.append("}\n\nATTENUATION = {\n")
    for element in ELEMENTS:
        rows = "".join(f"        {_row(xraydb, element, at)},\n" for at in _grid(element))
        lines.append(f'    "{element}": (\n{rows}    ),\n')
    return "".join(lines) + "}\n"


def _lines(xraydb):
    for element in ELEMENTS:
        for shell in ("K", "L3", "M5"):
            found = xraydb.xray_lines(element, initial_level=shell)
            if found and xraydb.xray_edge(element, shell).energy >= LOWEST_EV:
                named = next((found[name] for name in MAIN_LINES if name in found), None)
                if named:  # calcium and potassium have none here: nothing is put in its place
                    yield element, shell, named.energy


def _row(xraydb, element: str, at: float) -> str:
    both = (float(table(element, at)) for table in (xraydb.mu_elam, xraydb.mu_chantler))
    return f"({at:.1f}, {', '.join(f'{each:.5g}' for each in both)})"


def _grid(element: str) -> list[float]:
    """Energies evenly spaced in their logarithm, with a pair around every edge of either source."""
    ratio = (HIGHEST_EV / LOWEST_EV) ** (1.0 / STEPS)
    energies = {round(LOWEST_EV * ratio**step, 1) for step in range(STEPS + 1)}
    near = [edge for edge in edges_between(LOWEST_EV, HIGHEST_EV) if edge.element == element]
    for place in {each.value for edge in near for each in edge.energies}:
        energies |= {round(place + sign * by, 1) for by in BESIDE_EV for sign in (-1, 1)}
    return sorted(energies)


if __name__ == "__main__":
    TARGET.write_text(render(), encoding="utf-8")
    print(f"{TARGET.name} written")
