"""Three rungs on two rails, read from the bottom: lit, measured but not shown, or a gap."""

from __future__ import annotations

from operator import attrgetter

from edgeshift.drawing.markers import marker
from edgeshift.drawing.metrics import ASCENT, evenly, fit_lines, pinch, wrap
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, draw_ruler
from edgeshift.records.figure import Dot, Ladder, Row, Ruler, Rung

_DOT = {"units": 8.0, "spots": 6.4, "scans": 5.0}
_TALL = {"lit": 11.0, "not-shown": 8.0}


def draw_ladder(pen: Pen, ladder: Ladder, box: Box) -> None:
    """The whole ladder inside `box`: rails, rungs from the bottom, ruler, feature and stamp."""
    foot_tall = _foot_height(pen, ladder, plot_box(_rails(box)).width)
    rails = _rails(Box(box.left, box.top, box.width, box.height - foot_tall))
    scale = pen.sizes.scale
    for x in (rails.left, rails.right):
        pen.add("line", x1=x, y1=rails.top, x2=x, y2=rails.bottom, stroke=pen.theme.ink,
                stroke_width=4.0 * scale, stroke_linecap="round")  # fmt: skip
    top = rails.top
    for rung, tall in zip(reversed(ladder.rungs), _shares(pen, ladder, rails), strict=True):
        _draw_rung(pen, rung, ladder.ruler, Box(rails.left, top, rails.width, tall))
        top += tall
    _draw_foot(pen, ladder, Box(box.left, rails.bottom, box.width, foot_tall))


def _rails(box: Box) -> Box:
    """Between the middles of the two rails."""
    return Box(box.left + 7, box.top, box.width - 14, box.height)


def plot_box(rails: Box) -> Box:
    """Where dots stand between the rails: the ruler's own width, the same on all rungs."""
    inset = 0.05 * rails.width
    return Box(rails.left + inset, rails.top, rails.width - 2 * inset, rails.height)


def _words(pen: Pen, rung: Rung, width: float) -> list[str]:
    """The words of a rung, in at most two lines."""
    if not rung.words:
        return []
    share = 0.62 if rung.state == "cannot-test" else 0.9
    return fit_lines(rung.words, pen.sizes.small, share * width, 2)


def _need(pen: Pen, rung: Rung, width: float, row: float) -> float:
    """Pixels a rung needs for its words and its rows, each `row` high."""
    title = len(fit_lines(rung.title, pen.sizes.words, 0.9 * width, 2))
    rows = len(rung.rows) * row
    quiet = len(_words(pen, rung, width)) * (0.9 if rung.state == "cannot-test" else 1.25)
    return 1.25 * title * pen.sizes.words + quiet * pen.sizes.small + rows + 22 * pen.sizes.scale


def _shares(pen: Pen, ladder: Ladder, rails: Box) -> list[float]:
    """Heights of the rungs from the top: what each needs, and the rest by the rows it holds."""
    rungs = list(reversed(ladder.rungs))
    for named, row in ((pen.sizes.small, 8.5), (0.95 * pen.sizes.small, 6.5), (8.5, 8.5)):
        needs = [_need(pen, rung, rails.width, named if rung.named else row) for rung in rungs]
        if sum(needs) <= rails.height - 10:
            break
    rest = max(0.0, rails.height - 10 - sum(needs))
    weights = [
        0.6 if rung.state == "cannot-test" else 1.0 + 0.15 * len(rung.rows) * (1 + rung.named)
        for rung in rungs
    ]
    return [need + rest * weight / sum(weights) for need, weight in zip(needs, weights, strict=True)]


def _draw_rung(pen: Pen, rung: Rung, ruler: Ruler | None, box: Box) -> None:
    """Title, words, dots and bar of one rung; its bar lies at the foot of `box`."""
    size, middle = pen.sizes.words, box.left + box.width / 2
    lit = rung.state == "lit"
    y = box.top + 0.95 * size
    for row in fit_lines(rung.title, size, 0.9 * box.width, 2, "bold" if lit else "regular"):
        voice = "bold" if lit else "regular"
        pen.text((middle, y), row, size, anchor="middle", voice=voice, token="ink" if lit else "ink2")
        y += 1.2 * size
    bar = box.bottom - (18 if rung.state == "cannot-test" else 9) * pen.sizes.scale
    words = _words(pen, rung, box.width)
    if rung.state == "cannot-test":
        return _draw_gap(pen, words, box, bar)
    y -= 0.1 * size
    for row in words:
        pen.text((middle, y), row, pen.sizes.small, anchor="middle", token="ink2")
        y += 1.2 * pen.sizes.small
    head = y - 0.95 * size + 6 * pen.sizes.scale
    tall = _TALL[rung.state] * pen.sizes.scale
    if ruler and rung.rows:
        _draw_rows(pen, rung, ruler, Box(box.left, head, box.width, bar - tall / 2 - head - 5))
    across = Box(box.left - 6, bar - tall / 2, box.width + 12, tall)
    outline = (2.2 if lit else 2.0) * pen.sizes.scale
    return pen.block(across, "straw" if lit else "sheet", outline, radius=2.0)


def _draw_gap(pen: Pen, words: list[str], box: Box, bar: float) -> None:
    """Two stubs and, between them, what would fill the gap."""
    wide = max((pen.width(row, pen.sizes.small) for row in words), default=0.3 * box.width)
    stub = min(0.2 * box.width, (box.width - wide) / 2 - 14)
    thick = 4.0 * pen.sizes.scale
    pen.segment((box.left - 6, bar), (box.left + stub, bar), "ink", thick)
    pen.segment((box.right - stub, bar), (box.right + 6, bar), "ink", thick)
    lower = bar + 0.33 * pen.sizes.small
    for row, text in enumerate(reversed(words)):
        at = (box.left + box.width / 2, lower - row * 1.15 * pen.sizes.small)
        pen.text(at, text, pen.sizes.small, anchor="middle", token="ink2")


def _draw_rows(pen: Pen, rung: Rung, ruler: Ruler, box: Box) -> None:
    """One row a unit (or pair), every dot in it; the named rung joins and names them."""
    pitch = min(26.0 * pen.sizes.scale, box.height / len(rung.rows))
    first = box.top + (box.height - pitch * len(rung.rows)) / 2 + pitch / 2
    size = min(_DOT[rung.code] * pen.sizes.scale, 0.5 * pitch)
    field = plot_box(box)
    for place, row in enumerate(_in_place(pen, rung.rows)):
        y = first + place * pitch
        at = [_across(ruler, field, dot.value) for dot in row.dots]
        if rung.joined and len(at) > 1:
            pen.segment((min(at), y), (max(at), y), "ink", 2.0 * pen.sizes.scale)
        for dot, x in zip(row.dots, at, strict=True):
            marker(pen, dot.role, (x, y), size, _pointed(dot))
        if rung.named and at and pitch >= pen.sizes.small * 0.94:
            _name_row(pen, row, (min(at) - size - 9, max(at) + size + 9), y, box)


def _in_place(pen: Pen, rows: tuple[Row, ...]) -> list[Row]:
    """Rows, and the dots in each, in the order of the arms' looks."""
    sorted_dots = [Row(row.name, tuple(pen.in_place(row.dots, attrgetter("role")))) for row in rows]
    return sorted(sorted_dots, key=lambda row: pen.look(row.dots[0].role).place if row.dots else 0)


def _name_row(pen: Pen, row: Row, beside: tuple[float, float], y: float, box: Box) -> None:
    """The name left of the row's first dot, or right of its last where there is more room."""
    size = pen.sizes.small
    baseline = y + 0.34 * size
    left_room, right_room = beside[0] - box.left - 6, box.right - 6 - beside[1]
    if pen.width(row.name, size) <= left_room or left_room >= right_room:
        name = pinch(row.name, size, left_room)
        pen.text((beside[0], baseline), name, size, anchor="end", token="ink2")
    else:
        pen.text((beside[1], baseline), pinch(row.name, size, right_room), size, token="ink2")


def _across(ruler: Ruler, field: Box, value: float) -> float:
    return field.left + (value - ruler.low) / (ruler.high - ruler.low) * field.width


def _pointed(dot: Dot) -> str:
    return f"{dot.what}: {dot.value:.4g}"


def _foot_lines(pen: Pen, ladder: Ladder, width: float) -> list[str]:
    """What the dots are, and the reading."""
    size = pen.sizes.small
    lines = evenly(lambda narrow: wrap(ladder.ruler.words, size, narrow), width) if ladder.ruler else []
    if len(lines) > 2 or any(pen.width(line, size) > width for line in lines):
        lines = fit_lines(ladder.ruler.words, size, width, 2)
    return [*lines, *fit_lines(ladder.reading, size, width, 2)]


def _foot_height(pen: Pen, ladder: Ladder, width: float) -> float:
    """Ruler, numbers, and the lines beneath."""
    size = pen.sizes.small
    ruler = CELL_HEIGHT + 1.2 * size if ladder.ruler else 0.0
    lines = len(_foot_lines(pen, ladder, width)) + 1
    return 10 * pen.sizes.scale + ruler + 1.3 * size * lines + 0.3 * size


def _draw_foot(pen: Pen, ladder: Ladder, box: Box) -> None:
    """The ruler, what its dots are, the reading, and last, always in one place, the stamp in bold."""
    size, y = pen.sizes.small, box.top + 10 * pen.sizes.scale
    field = plot_box(_rails(box))
    if ladder.ruler:
        draw_ruler(pen, ladder.ruler, Box(field.left, y, field.width, CELL_HEIGHT))
        y += CELL_HEIGHT + 1.2 * size
    y += 0.5 * size + ASCENT * size
    for line in _foot_lines(pen, ladder, field.width):
        pen.text((field.left, y), line, size, token="ink2")
        y += 1.3 * size
    pen.text((field.left, y), ladder.stamp, size, voice="bold")
