"""Write src/edgeshift/tables/edge_values.py from two libraries of X-ray data.

Run with the dependency group `tables`:  python tools/make_edge_table.py
Both libraries are only needed here; edgeshift itself reads the written file.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

TARGET = Path(__file__).resolve().parents[1] / "src" / "edgeshift" / "tables" / "edge_values.py"
SHELLS = ("K", "L1", "L2", "L3", *(f"M{k}" for k in range(1, 6)), *(f"N{k}" for k in range(1, 8)))
ELEMENTS = range(3, 93)
LOWEST_EV, HIGHEST_EV = 20.0, 30000.0

HEAD = '''"""Edge values of two libraries, written by tools/make_edge_table.py: do not edit by hand.

A row: element, shell, energy in eV (first source, second source), edge jump, fluorescence yield (first,
second), natural width in eV (first, second). None: that source does not say.
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
    rows = (_row(xraydb, xraylib, number, shell) for number in ELEMENTS for shell in SHELLS)
    body = "".join(f"    ({', '.join(_literal(value) for value in row)}),\n" for row in rows if row)
    return head + body + ")\n"


def _row(xraydb, xraylib, number: int, shell: str) -> tuple | None:
    """One row, or None where neither source has the edge inside the range."""
    first = xraydb.xray_edges(number).get(shell)
    code = getattr(xraylib, f"{shell}_SHELL")
    energies = (
        _known(first.energy if first else None, 0.0),
        _second(lambda: 1000 * xraylib.EdgeEnergy(number, code)),
    )
    if not any(value and LOWEST_EV <= value <= HIGHEST_EV for value in energies):
        return None
    jump = _known(first.jump_ratio if first else None, 1.0)
    yields = (_known(first.fyield if first else None, 0.0), _second(lambda: xraylib.FluorYield(number, code)))
    widths = (
        _known(xraydb.core_width(number).get(shell), 0.0),
        _second(lambda: 1000 * xraylib.AtomicLevelWidth(number, code)),
    )
    symbol = xraydb.atomic_symbol(number)
    rounded = (
        *(_rounded(e, 6) for e in energies),
        _rounded(jump, 4),
        *(_rounded(v, 3) for v in (*yields, *widths)),
    )
    return (symbol, shell, *rounded)


def _known(value: float | None, empty: float) -> float | None:
    """The first library writes 0 (jump: 1) where it has no number."""
    return None if value is None or value == empty else float(value)


def _second(ask: Callable[[], float]) -> float | None:
    """The second library raises ValueError where it has no number."""
    try:
        return _known(ask(), 0.0)
    except ValueError:
        return None


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else float(f"{value:.{digits}g}")


def _literal(value) -> str:
    return f'"{value}"' if isinstance(value, str) else repr(value)


if __name__ == "__main__":
    main()
