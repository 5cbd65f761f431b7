"""Several edges at a glance: a small ladder each, the rungs named once at the left."""

from __future__ import annotations

from edgeshift.drawing.metrics import fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.records.figure import Board, SmallLadder


def draw_board(pen: Pen, board: Board, box: Box) -> None:
    """Ladders side by side in `box`, in as many lines as they need; lines share the height."""
    scale, size = pen.sizes.scale, pen.sizes.small
    titles = _titles(pen, board)
    fit = _fit(pen, board, box.width)
    each = _each(pen, board, box.width)
    said = _said(pen, board, box.width)
    lines = -(-len(board.ladders) // fit)
    tall = box.height / max(1, lines)
    for line in range(lines):
        row = Box(box.left, box.top + line * tall, box.width, tall)
        rungs = _rung_places(pen, row, len(board.titles), said)
        for title, y in zip(board.titles, rungs, strict=True):
            pen.text((box.left, y + 0.34 * size), title, size, token="ink2")
        for place, ladder in enumerate(board.ladders[line * fit : (line + 1) * fit]):
            left = box.left + titles + place * each
            _draw_ladder(pen, ladder, Box(left, row.top, each - 34 * scale, tall), rungs)


def board_height(pen: Pen, board: Board, width: float) -> float:
    """Pixels the board wants: a strip for each line of ladders."""
    more = 1.2 * pen.sizes.small * (_said(pen, board, width) - 1)
    return (210 * pen.sizes.scale + more) * -(-max(1, len(board.ladders)) // _fit(pen, board, width))


def _titles(pen: Pen, board: Board) -> float:
    """Pixels for the names of the rungs."""
    return max(pen.width(title, pen.sizes.small) for title in board.titles) + 26 * pen.sizes.scale


def _fit(pen: Pen, board: Board, width: float) -> int:
    """How many ladders stand beside one another."""
    most = int((width - _titles(pen, board)) // (118 * pen.sizes.scale))
    return max(1, min(most, len(board.ladders)))


def _each(pen: Pen, board: Board, width: float) -> float:
    """Pixels from one ladder to the next."""
    return min(230 * pen.sizes.scale, (width - _titles(pen, board)) / _fit(pen, board, width))


def _said(pen: Pen, board: Board, width: float) -> int:
    """Lines that the longest words beneath a ladder need."""
    room = _each(pen, board, width) - 8 * pen.sizes.scale
    return max((len(fit_lines(one.words, pen.sizes.small, room, 2)) for one in board.ladders), default=1)


def _rung_places(pen: Pen, row: Box, count: int, said: int) -> list[float]:
    """The y of each rung, bottom first, above `said` lines of words and the stamp."""
    head, foot = 1.9 * pen.sizes.name, (1.7 + 1.2 * said) * pen.sizes.small + 14 * pen.sizes.scale
    pitch = (row.height - head - foot) / count
    return [row.bottom - foot - (place + 0.5) * pitch for place in range(count)]


def _draw_ladder(pen: Pen, ladder: SmallLadder, box: Box, rungs: list[float]) -> None:
    scale, size = pen.sizes.scale, pen.sizes.small
    top, bottom = rungs[-1] - 16 * scale, rungs[0] + 16 * scale
    for x in (box.left, box.right):
        pen.segment((x, top), (x, bottom), "ink", 3.0 * scale)
    for state, y in zip(ladder.states, rungs, strict=True):
        _draw_bar(pen, state, box, y)
    name = fit_lines(ladder.name, pen.sizes.name, box.width + 26 * scale, 1, "bold")
    pen.text((box.left - 4, top - 12 * scale), name[0] if name else "", pen.sizes.name, voice="bold")
    y = bottom + 1.2 * size
    for row in fit_lines(ladder.words, size, box.width + 26 * scale, 2):
        pen.text((box.left - 4, y), row, size)
        y += 1.2 * size
    pen.text((box.left - 4, y), ladder.stamp, size * 0.94, token="ink2")


def _draw_bar(pen: Pen, state: str, box: Box, y: float) -> None:
    """The three states of a rung, small."""
    scale, reach = pen.sizes.scale, 5 * pen.sizes.scale
    if state == "cannot-test":
        for start, stop in ((box.left - reach, box.left + 0.2 * box.width),
                            (box.right - 0.2 * box.width, box.right + reach)):  # fmt: skip
            pen.segment((start, y), (stop, y), "ink", 3.4 * scale)
        return
    tall = (11 if state == "lit" else 7) * scale
    across = Box(box.left - reach, y - tall / 2, box.width + 2 * reach, tall)
    pen.block(across, "straw" if state == "lit" else "sheet", 1.9 * scale, radius=2.0)
