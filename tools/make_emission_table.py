"""Write src/edgeshift/tables/emission_values.py from two libraries of X-ray data.

Run with the dependency group `tables`:  python tools/make_emission_table.py
Both libraries are only needed here; edgeshift itself reads the written file.
"""

from __future__ import annotations

from importlib.metadata import version
from pathlib import Path

TARGET = Path(__file__).resolve().parents[1] / "src" / "edgeshift" / "tables" / "emission_values.py"
ELEMENTS = range(5, 93)
LOWEST_EV, HIGHEST_EV = 100.0, 10000.0
LINES = {
    "Ka1": "KL3_LINE",
    "Ka2": "KL2_LINE",
    "Kb1": "KM3_LINE",
    "La1": "L3M5_LINE",
    "Lb1": "L2M4_LINE",
    "Ll": "L3M1_LINE",
    "Ln": "L2M1_LINE",
    "Ma": "M5N7_LINE",
    "Mb": "M4N6_LINE",
}
"""Name of a line in the first library -> in the second."""

HEAD = '''"""Emission lines of two libraries, written by tools/make_emission_table.py: do not edit by hand.

A row: element, line, shell it fills, energy in eV (first source, second source), share of that shell's lines
(first, second). None: that source does not say.
"""

FIRST = "xraydb {xraydb}"
SECOND = "xraylib {xraylib}"

ROWS = (
'''


def main() -> None:
    """Write the table and say how long it became."""
    text = render()
    TARGET.write_text(text, encoding="utf-8")
    print(f"{TARGET.name}: {text.count(chr(10))} lines, {len(text)} bytes")


def render() -> str:
    """The whole module as text."""
    import xraydb
    import xraylib

    head = HEAD.format(xraydb=version("xraydb"), xraylib=version("xraylib"))
    found = (_row(xraydb, xraylib, number, name) for number in ELEMENTS for name in LINES)
    rows = (", ".join(_literal(value) for value in row) for row in found if row)
    return head + "".join(f"    ({row}),\n" for row in rows) + ")\n"


def _row(xraydb, xraylib, number: int, name: str) -> tuple | None:
    """One row, or None where neither source has the line inside the range."""
    first = xraydb.xray_lines(number).get(name)
    code = getattr(xraylib, LINES[name])
    energies = (first.energy if first else None, _second(lambda: 1000 * xraylib.LineEnergy(number, code)))
    if not any(value and LOWEST_EV <= value <= HIGHEST_EV for value in energies):
        return None
    shares = (first.intensity if first else None, _second(lambda: xraylib.RadRate(number, code)))
    shell = {"K": "K", "La": "L3", "Ll": "L3", "Lb": "L2", "Ln": "L2", "Ma": "M5", "Mb": "M4"}
    fills = shell["K"] if name.startswith("K") else shell[name[:2]]
    numbers = (*(_rounded(e, 6) for e in energies), *(_rounded(s, 3) for s in shares))
    return (xraydb.atomic_symbol(number), name, fills, *numbers)


def _second(ask) -> float | None:
    """The second library raises ValueError where it has no number."""
    try:
        return ask() or None
    except ValueError:
        return None


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else float(f"{value:.{digits}g}")


def _literal(value) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


if __name__ == "__main__":
    main()
