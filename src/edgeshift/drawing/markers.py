"""Markers and textures: what tells the arms apart before any colour does."""

from __future__ import annotations

from edgeshift.drawing.pen import Pen
from edgeshift.drawing.svg import clean, element
from edgeshift.drawing.tokens import Look
from edgeshift.records.figure import Role

_FILLED = ("lozenge", "triangle", "square")


def marker(pen: Pen, role: Role, at: tuple[float, float], size: float, what: str = "") -> None:
    """The marker of `role`, about `size` pixels from centre to edge; `what` shows when pointed at."""
    look = pen.look(role)
    inside = f"<title>{clean(what)}</title>" if what else ""
    filled = look.marker in _FILLED
    paint = {
        "fill": pen.colour(look.stroke) if filled else pen.theme.sheet,
        "stroke": pen.theme.sheet if filled else pen.colour(look.stroke),
        "stroke-width": max(1.0, size * 0.19) if filled else max(1.6, size * 0.42),
    }
    x, y = float(at[0]), float(at[1])
    if look.marker == "ring":
        pen.marks.append(element("circle", {"cx": x, "cy": y, "r": float(size * 0.88)} | paint, inside))
    else:
        corners = " ".join(f"{x + size * dx:.1f},{y + size * dy:.1f}" for dx, dy in _CORNERS[look.marker])
        pen.marks.append(element("polygon", {"points": corners} | paint, inside))


_CORNERS = {
    "lozenge": ((0, -1.22), (1.22, 0), (0, 1.22), (-1.22, 0)),
    "triangle": ((0, -1.15), (1.12, 0.92), (-1.12, 0.92)),
    "square": ((-0.95, -0.95), (0.95, -0.95), (0.95, 0.95), (-0.95, 0.95)),
    "box": ((-0.82, -0.82), (0.82, -0.82), (0.82, 0.82), (-0.82, 0.82)),
}


def texture_id(pen: Pen, look: Look) -> str | None:
    """The id of the pattern that lies over a tint, or None for a plain one."""
    return None if look.texture == "plain" else f"{pen.prefix}-{look.texture}"


def textures(pen: Pen) -> str:
    """The patterns that this sheet may need: hatch at -52 degrees, 7 pixels apart; dots; cross."""
    found: dict[str, str] = {}
    for look in sorted(pen.looks.values(), key=lambda look: look.place):
        if look.texture != "plain":
            found.setdefault(look.texture, _pattern(pen, look))
    return element("defs", {}, "".join(found.values())) if found else ""


def _pattern(pen: Pen, look: Look) -> str:
    colour = pen.colour(look.stroke)
    bar = element("line", {"x1": 0, "y1": 0, "x2": 0, "y2": 7, "stroke": colour, "stroke-width": "1.6"})
    across = element("line", {"x1": 0, "y1": 0, "x2": 7, "y2": 0, "stroke": colour, "stroke-width": "1"})
    inside = {
        "hatch": bar,
        "dots": element("circle", {"cx": 2, "cy": 2, "r": "1.2", "fill": colour}),
        "cross": bar + across,
    }[look.texture]
    turned = "rotate(52)" if look.texture == "hatch" else "rotate(45)"
    return element(
        "pattern",
        {"id": texture_id(pen, look), "width": 7, "height": 7, "patternUnits": "userSpaceOnUse",
         "patternTransform": turned, "stroke-opacity": "0.5", "fill-opacity": "0.6"},
        inside,
    )  # fmt: skip
