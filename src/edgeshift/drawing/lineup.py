"""The impostor line-up: one element, and everybody who could pass for it.

Whoever is not yet excluded stands in front, in ink, on a dotted edge: not known yet. Whoever is no impostor
but here as well stands next, on a whole edge. Whoever is excluded stands behind, quiet, on an edge whose two
ends do not meet.
"""

from __future__ import annotations

from collections.abc import Iterable

from edgeshift.drawing.metrics import fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.shoulder import draw_step_mark
from edgeshift.records.figure import LineUp, Suspect
from edgeshift.wording.here import BESIDE, EXCLUDED, LINEUP, NOBODY, NOT_YET


def draw_lineup(pen: Pen, lineup: LineUp, box: Box) -> None:
    """The element with its verdict, a rule, and as many suspects as there is room for."""
    y = _draw_head(pen, lineup, box)
    size = pen.sizes.small
    if not lineup.suspects:
        pen.text((box.left, y + size), NOBODY, size, token="ink2")
        return
    shown, more = _fitting(pen, lineup.suspects, box.width, box.bottom - y)
    for title, standing in ((NOT_YET, (False, False)), (BESIDE, (False, True)), (EXCLUDED, (True, False))):
        group = [one for one in shown if (one.excluded, one.beside) == standing]
        if group:
            pen.text((box.left, y + size), title, size, token="ink2")
            y = _draw_group(pen, group, Box(box.left, y + 1.35 * size, box.width, 0.0))
    if more:
        pen.text((box.left, y + size), f"and {more} more, {EXCLUDED}", size, token="ink2")


def lineup_height(pen: Pen, lineup: LineUp, width: float) -> float:
    """Pixels the line-up wants where it stands alone."""
    rows = sum(_row_height(pen, one, width) for one in lineup.suspects)
    verdict = len(_verdict_lines(pen, lineup, width)) * 1.2 * pen.sizes.words
    return 1.3 * pen.sizes.name + verdict + 3.4 * pen.sizes.words + rows + 4.0 * pen.sizes.small


def _draw_head(pen: Pen, lineup: LineUp, box: Box) -> float:
    """Name, mark, verdict and the question; returns the y beneath."""
    scale, size = pen.sizes.scale, pen.sizes.words
    draw_step_mark(pen, lineup.state, Box(box.left, box.top, 44 * scale, 27 * scale))
    left = box.left + _indent(pen)
    y = box.top + 0.9 * pen.sizes.name
    name = fit_lines(lineup.name, pen.sizes.name, box.width - _indent(pen), 1, "bold")
    pen.text((left, y), name[0] if name else "", pen.sizes.name, voice="bold")
    y += 1.25 * size
    for line in _verdict_lines(pen, lineup, box.width):
        pen.text((left, y), line, size)
        y += 1.2 * size
    y += 0.5 * size
    pen.segment((box.left, y - 0.8 * size), (box.right, y - 0.8 * size), "line", 1.2)
    pen.text((box.left, y + 0.35 * size), LINEUP, size, voice="bold")
    return y + 0.95 * size


def _indent(pen: Pen) -> float:
    return 60 * pen.sizes.scale


def _verdict_lines(pen: Pen, lineup: LineUp, width: float) -> list[str]:
    return fit_lines(lineup.verdict, pen.sizes.words, width - _indent(pen), 3)


def _draw_group(pen: Pen, group: Iterable[Suspect], box: Box) -> float:
    y = box.top
    for one in group:
        _draw_suspect(pen, one, Box(box.left, y, box.width, 0.0))
        y += _row_height(pen, one, box.width)
    return y + 0.3 * pen.sizes.small


def _draw_suspect(pen: Pen, one: Suspect, box: Box) -> None:
    scale, size = pen.sizes.scale, pen.sizes.small
    token, voice = ("ink2", "regular") if one.excluded else ("ink", "bold")
    mark = Box(box.left + 4 * scale, box.top + 0.1 * size, 30 * scale, 0.95 * size)
    draw_step_mark(pen, "failed" if one.excluded else "answered" if one.beside else "not-yet", mark, token)
    y = box.top + 0.98 * size
    name, why = _lines(pen, one, box.width)
    for line in name:
        pen.text((box.left + _indent(pen), y), line, size, token=token, voice=voice)
        y += 1.15 * size
    for line in why:
        pen.text((box.left + _indent(pen), y), line, size, token="ink2")
        y += 1.15 * size


def _lines(pen: Pen, one: Suspect, width: float) -> tuple[list[str], list[str]]:
    """An excluded suspect's name and reason run on in one quiet text; others get a line for their name."""
    wide, size = width - _indent(pen), pen.sizes.small
    if one.excluded:
        return [], fit_lines(f"{one.name}: {one.why}", size, wide, 2)
    return fit_lines(one.name, size, wide, 1, "bold"), fit_lines(one.why, size, wide, 2)


def _row_height(pen: Pen, one: Suspect, width: float) -> float:
    name, why = _lines(pen, one, width)
    return (1.15 * (len(name) + len(why)) + 0.35) * pen.sizes.small


def _fitting(pen: Pen, suspects: tuple[Suspect, ...], width: float, room: float) -> tuple[list[Suspect], int]:
    """The suspects that fit, and how many do not; those not yet excluded come first and are never left
    out."""
    kinds = len({(one.excluded, one.beside) for one in suspects})
    room -= (1.65 * kinds) * pen.sizes.small
    whole = sum(_row_height(pen, one, width) for one in suspects)
    if whole <= room:
        return list(suspects), 0
    room -= 1.3 * pen.sizes.small
    shown: list[Suspect] = []
    for one in suspects:
        room -= _row_height(pen, one, width)
        if room < 0 and one.excluded:
            break
        shown.append(one)
    return shown, len(suspects) - len(shown)
