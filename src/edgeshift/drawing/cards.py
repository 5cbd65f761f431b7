"""What minutes may buy: cards side by side, each with its cost as a bar out of the minutes left."""

from __future__ import annotations

from edgeshift.drawing.metrics import fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import shoulder
from edgeshift.drawing.svg import polyline
from edgeshift.records.figure import Card, Cards
from edgeshift.wording.minutes import CANNOT_FIX, SETTLES, cost

LEADING = 1.22
GAP = 30.0
NARROW = 600.0
"""Below this many pixels cards stand beneath one another."""
BACK = 70.0
"""Pixels of a card that lies face down."""
BAR = 12.0
BACKS = (0.32, 0.5, 0.68)
"""Where the contours on the back of a card rise, as shares of its height."""


def draw_cards(pen: Pen, cards: Cards, box: Box) -> None:
    """Beside one another, on a phone beneath; what the bars are parts of stands at the foot."""
    size = pen.sizes.small
    tall = box.height - 2.2 * size
    if box.width < NARROW:
        y = box.top
        for card in cards.cards:
            need = _height(pen, card, box.width) if not cards.hidden else BACK
            _draw(pen, card, cards, Box(box.left, y, box.width, need))
            y += need + 22
    else:
        gap, wide = GAP * pen.sizes.scale, _wide(pen, cards, box.width)
        titles = max((len(_title(pen, card, wide)) for card in cards.cards), default=1)
        for place, card in enumerate(cards.cards):
            _draw(pen, card, cards, Box(box.left + place * (wide + gap), box.top, wide, tall), titles)
    pen.text((box.left, box.bottom - 0.3 * size), cards.ruler.words, size, token="ink2")


def cards_height(pen: Pen, cards: Cards, width: float) -> float:
    """Pixels that the cards want: side by side as many as the longest, on a phone all of them."""
    foot = 2.4 * pen.sizes.small
    if width >= NARROW:
        wide = _wide(pen, cards, width)
        titles = max((len(_title(pen, card, wide)) for card in cards.cards), default=1)
        each = [_height(pen, card, wide, titles) for card in cards.cards]
        return BACK if cards.hidden else max(each, default=0.0) + foot
    each = [BACK if cards.hidden else _height(pen, card, width) for card in cards.cards]
    return sum(each) + 22 * len(each) + foot


def _wide(pen: Pen, cards: Cards, width: float) -> float:
    """Pixels across for each of the cards side by side."""
    return (width - GAP * pen.sizes.scale * (len(cards.cards) - 1)) / max(1, len(cards.cards))


def _title(pen: Pen, card: Card, width: float) -> list[str]:
    return fit_lines(card.title, pen.sizes.words, width, 3, "bold")


def _parts(pen: Pen, card: Card, width: float) -> list[tuple[str, list[str]]]:
    """Headings with their lines."""
    size = pen.sizes.small
    said = ((SETTLES, card.settles), ("", card.predicted), (CANNOT_FIX, card.cannot_fix))
    return [(head, fit_lines(text, size, width, 7)) for head, text in said if text]


def _height(pen: Pen, card: Card, width: float, titles: int = 0) -> float:
    lines = (
        max(titles, len(_title(pen, card, width))) * LEADING * pen.sizes.words
        + 1.35 * pen.sizes.name
        + 2.6 * BAR
    )
    for head, rows in _parts(pen, card, width):
        lines += LEADING * pen.sizes.small * (len(rows) + bool(head)) + 0.4 * pen.sizes.small
    return lines + 12


def _draw(pen: Pen, card: Card, cards: Cards, box: Box, titles: int | None = None) -> None:
    if cards.hidden:
        return _draw_back(pen, box)
    size, scale = pen.sizes.small, pen.sizes.scale
    pen.segment((box.left, box.top), (box.right, box.top), "ink", 3.0 * scale)
    lines = _title(pen, card, box.width)
    y = box.top + 10 * scale
    for line in lines:
        pen.text((box.left, y + 0.85 * pen.sizes.words), line, pen.sizes.words, voice="bold")
        y += LEADING * pen.sizes.words
    y += LEADING * pen.sizes.words * ((titles or len(lines)) - len(lines))
    pen.text((box.left, y + 0.95 * pen.sizes.name), cost(card.minutes), pen.sizes.name)
    y += 1.35 * pen.sizes.name
    _draw_bar(pen, card, cards, Box(box.left, y, box.width, BAR * scale))
    y += 2.2 * BAR * scale
    for head, rows in _parts(pen, card, box.width):
        if head:
            pen.text((box.left, y + 0.8 * size), head, size, token="ink2")
            y += LEADING * size
        for row in rows:
            pen.text((box.left, y + 0.8 * size), row, size)
            y += LEADING * size
        y += 0.4 * size
    return None


def _draw_bar(pen: Pen, card: Card, cards: Cards, box: Box) -> None:
    """Of the minutes left, those that the card takes; one that takes more than there are runs to the end."""
    span = max(cards.ruler.high - cards.ruler.low, 1e-9)
    share = min(1.0, card.minutes / span)
    pen.block(box, "glaze2")
    pen.block(Box(box.left, box.top, max(2.0, share * box.width), box.height), "ink")


def _draw_back(pen: Pen, box: Box) -> None:
    """Glaze with a contour of shoulders; every back is alike."""
    pen.block(box, "glaze")
    for at in BACKS:
        inside = Box(box.left, box.top + (at - 0.12) * box.height, box.width, 0.24 * box.height)
        pen.stroke(polyline(*shoulder(inside)), "line", 2.0 * pen.sizes.scale)
