"""Every scan of the shift on shelves: one row an edge, one small edge a scan, the hurt in plum."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from edgeshift.drawing.metrics import shorten
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import step_mark
from edgeshift.drawing.svg import clean
from edgeshift.records.figure import ScanState, Shelf, ShelfReason, ShelfRow, StepState, Tick
from edgeshift.wording.figures import more_reasons, more_scans

_STATES: dict[str, StepState] = {"keep": "answered", "keep-with-a-note": "partly", "set-aside": "failed"}
PLANK = 40.0
"""Pixels on the Stage from one plank of an edge to the next."""
LEADING = 1.32
BESIDE_PLANK = 2
"""Reasons that find room right of a plank."""
LEAST_AIR = 17.0
"""Type sizes between a plank and its tally in which a reason can stand."""


def draw_shelf(pen: Pen, shelf: Shelf, box: Box) -> None:
    """Rows from the top, each with its plank, its tally, and as many reasons as there is room for.

    Where there is not room for all of them beneath, marks stand closer and reasons stand beside planks too.
    """
    columns = _columns(pen, shelf, box)
    room = int((box.height - sum(_bare_height(pen, row, columns) for row in shelf.rows)) / _line_height(pen))
    tight = not columns.stacked and sum(len(row.reasons) for row in shelf.rows) > room
    columns = _columns(pen, shelf, box, tight)
    places = [_places(pen, row, box, columns, tight) for row in shelf.rows]
    beside = 2 if tight else 1
    both = list(zip(shelf.rows, places, strict=True))
    bare = [_bare_height(pen, row, columns) + place.lower for row, place in both]
    room = int((box.height - sum(bare)) / _line_height(pen) + 1e-6)
    lines = _share_out([-(-len(place.beneath) // beside) for place in places], room)
    needs = [tall + count * _line_height(pen) for tall, count in zip(bare, lines, strict=True)]
    air = min(56 * pen.sizes.scale, max(0.0, box.height - sum(needs)) / max(1, len(needs)))
    every, top = _short_names([tick.scan for row in shelf.rows for tick in row.ticks]), box.top
    for number, (row, place, need) in enumerate(zip(shelf.rows, places, needs, strict=True)):
        if top + need > box.bottom + 1:
            left = len(shelf.rows) - number
            pen.text((box.left, box.bottom), f"and {left} more edges", pen.sizes.small, token="ink2")
            return
        at = _draw_row(pen, row, Box(box.left, top, box.width, need), columns)
        names = _short_names([tick.scan for tick in row.ticks]) if len(row.ticks) > 1 else every
        fit = lines[number] * beside
        untold = len(place.beneath) - fit
        if place.right:
            right = place.right._replace(top=top + place.right.top)
            _draw_reasons(pen, names, place.first, right, 1, 0 if fit else untold)
        _draw_reasons(pen, names, place.beneath[:fit], at._replace(top=at.top + place.lower), beside, untold)
        top += need + air


def shelf_height(pen: Pen, shelf: Shelf, width: float) -> float:
    """Pixels the shelf wants where it stands alone: every reason has its line."""
    columns = _columns(pen, shelf, Box(0.0, 0.0, width, 0.0))
    lines = sum(len(row.reasons) for row in shelf.rows) * _line_height(pen)
    return lines + sum(_bare_height(pen, row, columns) + 16 * pen.sizes.scale for row in shelf.rows)


class _Columns(NamedTuple):
    """Where marks begin, how far apart they stand, how many fit in a line, and whether names stand above."""

    start: float
    pitch: float
    fit: int
    stacked: bool


def _columns(pen: Pen, shelf: Shelf, box: Box, tight: bool = False) -> _Columns:
    scale = pen.sizes.scale
    stacked = box.width < 600
    names = max((pen.width(row.name, pen.sizes.name, "bold") for row in shelf.rows), default=0.0)
    tallies = max((pen.width(row.tally, pen.sizes.small) for row in shelf.rows), default=0.0)
    start = box.left if stacked else box.left + min(names, 0.2 * box.width) + 30 * scale
    room = box.right - start - (0 if stacked else tallies + 30 * scale)
    most = max((len(row.ticks) for row in shelf.rows), default=1)
    pitch = max(28.0 * scale, min((30.0 if tight else 46.0) * scale, room / max(1, most)))
    return _Columns(start, pitch, max(1, int(room / pitch + 1e-6)), stacked)


def _planks(row: ShelfRow, columns: _Columns) -> int:
    return max(1, -(-len(row.ticks) // columns.fit))


def _line_height(pen: Pen) -> float:
    return LEADING * pen.sizes.small


def _bare_height(pen: Pen, row: ShelfRow, columns: _Columns) -> float:
    """Pixels of a row without any reason."""
    head = 1.5 * pen.sizes.name if columns.stacked else 0.0
    return head + (_planks(row, columns) * PLANK + 12) * pen.sizes.scale


def _share_out(wanted: list[int], room: int) -> list[int]:
    """Lines for each row, at most what it wants: dealt one by one from the top, until `room` is gone."""
    given = [0] * len(wanted)
    while room > 0 and given != wanted:
        for place in range(len(wanted)):
            if room > 0 and given[place] < wanted[place]:
                given[place] += 1
                room -= 1
    return given


def _draw_row(pen: Pen, row: ShelfRow, box: Box, columns: _Columns) -> Box:
    """Name, tally, marks and planks; returns where the reasons go."""
    scale, top = pen.sizes.scale, box.top
    baseline = top + (0.9 * pen.sizes.name if columns.stacked else 26 * scale)
    wide = box.width / 2 if columns.stacked else columns.start - box.left - 16
    name = shorten(row.name, pen.sizes.name, wide, "bold")
    pen.text((box.left, baseline), name, pen.sizes.name, voice="bold")
    pen.text((box.right, baseline), row.tally, pen.sizes.small, anchor="end", token="ink2")
    top += 1.5 * pen.sizes.name if columns.stacked else 0.0
    for place, tick in enumerate(row.ticks):
        line, column = divmod(place, columns.fit)
        left = columns.start + column * columns.pitch
        _draw_tick(pen, tick, Box(left, top + (line * PLANK + 6) * scale, 23 * scale, 18 * scale))
    for line in range(_planks(row, columns)):
        y = top + line * PLANK * scale + 32 * scale
        stop = columns.start + min(columns.fit, len(row.ticks) - line * columns.fit) * columns.pitch
        pen.segment((columns.start - 6, y), (stop - columns.pitch + 30 * scale, y), "ink", 2.0 * scale)
    beneath = top + _planks(row, columns) * PLANK * scale
    return Box(columns.start, beneath, box.right - columns.start, 0.0)


class _Places(NamedTuple):
    """Where the reasons of a row go: the first right of its plank (a box beneath the row's top), the others
    beneath, by `lower` pixels where those on the right reach down that far."""

    first: tuple[ShelfReason, ...]
    right: Box | None
    beneath: tuple[ShelfReason, ...]
    lower: float = 0.0


def _places(pen: Pen, row: ShelfRow, box: Box, columns: _Columns, tight: bool) -> _Places:
    """Right of a plank only where that is tight, and between plank and tally is air enough."""
    left = columns.start + (len(row.ticks) + 0.5) * columns.pitch
    right = box.right - pen.width(row.tally, pen.sizes.small) - 1.5 * pen.sizes.small
    if not tight or right - left < LEAST_AIR * pen.sizes.small or _planks(row, columns) > 1:
        return _Places((), None, row.reasons)
    first, beneath = row.reasons[:BESIDE_PLANK], row.reasons[BESIDE_PLANK:]
    single = 26 * pen.sizes.scale - 0.85 * pen.sizes.small if len(first) == 1 else 0.0
    lower = max(0.0, len(first) * _line_height(pen) - PLANK * pen.sizes.scale) if beneath else 0.0
    return _Places(first, Box(left, single, right - left, 0.0), beneath, lower)


def _draw_tick(pen: Pen, tick: Tick, mark: Box) -> None:
    shown = f"{tick.scan}: {tick.words}" if tick.words else tick.scan
    pen.marks.append(f"<g><title>{clean(shown)}</title>")
    _draw_mark(pen, tick.state, mark)
    pen.marks.append("</g>")


def _draw_mark(pen: Pen, state: ScanState, mark: Box) -> None:
    """The state as a small edge; a note is a dot over its foot, for a tint alone is not seen from afar."""
    step_mark(pen, _STATES[state], mark, "plum" if state == "set-aside" else "ink")
    if state == "keep-with-a-note":
        size = 0.22 * mark.height
        pen.add("circle", cx=mark.left + size, cy=mark.top + size, r=size, fill=pen.theme.ink)


def _draw_reasons(
    pen: Pen,
    names: dict[str, str],
    reasons: Sequence[ShelfReason],
    box: Box,
    beside: int,
    untold: int,
) -> None:
    """Reasons in lines, `beside` one another, each behind the mark of its scans.

    The last one counts those for which there was no room (`untold`).
    """
    size = pen.sizes.small
    indent, wide = 1.7 * size, box.width / beside
    for place, reason in enumerate(reasons):
        y = box.top + place // beside * _line_height(pen) + 0.85 * size
        left = box.left + place % beside * wide
        _draw_mark(pen, reason.state, Box(left, y - 0.72 * size, 1.0 * size, 0.78 * size))
        last = place == len(reasons) - 1
        tail = f"; {more_reasons(untold)}" if last and untold > 0 else ""
        told = _listed(pen, reason, names, wide - indent - size - pen.width(tail, size))
        token = "plum" if reason.state == "set-aside" else "ink2"
        pen.text((left + indent, y), told + tail, size, token=token)


def _listed(pen: Pen, reason: ShelfReason, names: dict[str, str], width: float) -> str:
    """The reason and as many of its scans as fit in `width` pixels, and how many there are besides."""
    size, scans = pen.sizes.small, [names.get(scan, scan) for scan in reason.scans]
    for shown in range(len(scans), 0, -1):
        rest = f" {more_scans(len(scans) - shown)}" if shown < len(scans) else ""
        told = f"{reason.words}: {', '.join(scans[:shown])}{rest}"
        if pen.width(told, size) <= width:
            return told
    tail = f" ({len(scans)})"
    return shorten(reason.words, size, width - pen.width(tail, size)) + tail


def _short_names(names: list[str]) -> dict[str, str]:
    """Each name without what all of a row share at both ends: "shift_0007.dat" among others is "0007".

    Cut only where no letter or digit is torn from its word; where nothing would be left, all stay whole.
    """
    unlike = list(dict.fromkeys(names))
    head = _shared_start(unlike) if len(unlike) > 1 else ""
    tail = _shared_start([name[::-1] for name in unlike])[::-1] if len(unlike) > 1 else ""
    while head and head[-1].isalnum():
        head = head[:-1]
    while tail and tail[0].isalnum():
        tail = tail[1:]
    short = {name: name[len(head) : len(name) - len(tail)] for name in unlike}
    whole = any(len(name) <= len(head) + len(tail) for name in unlike)
    return {name: name for name in unlike} if whole else short


def _shared_start(names: Sequence[str]) -> str:
    """The letters that all names begin with."""
    same = 0
    for letters in zip(*names, strict=False):
        if len(set(letters)) > 1:
            break
        same += 1
    return names[0][:same]
