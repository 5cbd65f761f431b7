"""The claim bench: people's words in italics, what is missing and the stress; beside it the claim levels."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from edgeshift.drawing.metrics import Voice, fit_lines
from edgeshift.drawing.pen import Box, Pen
from edgeshift.records.figure import Bench, ClaimLevel, Stress
from edgeshift.wording.say import ASKED, MISSING, NO_STRESS_YET, STILL_TRUE, kept_of

LEADING = 1.24
GAP = 40.0
NARROW = 600.0
"""Below this many pixels the three columns stand beneath one another."""
COLUMNS = (0.42, 0.24, 0.34)
"""Shares of the width for words, stress and ladder."""
BAR = 0.42
"""Height of a bar of the stress, in type sizes."""
MOST_LINES = 24
"""A claim is never cut: a picture grows with it."""
MOST_MISSING = 2
"""More than these are in the table beneath the picture."""


class Line(NamedTuple):
    """One line of the column of words: `lead` stands upright in its `indent`; `stress` is what its bar
    shows."""

    words: str
    size: float
    voice: Voice = "regular"
    token: str = "ink"
    stress: Stress | None = None
    lead: str = ""
    indent: float = 0.0
    above: float = 0.0


def draw_bench(pen: Pen, bench: Bench, box: Box) -> None:
    """Words, stress and the ladder side by side; on a phone beneath one another."""
    gap = GAP * pen.sizes.scale
    if box.width < NARROW:
        top = box.top
        for tall, lines in ((_height(some), some) for some in _columns(pen, bench, (box.width, box.width))):
            _draw_lines(pen, lines, Box(box.left, top, box.width, tall))
            top += tall + 0.5 * gap
        _draw_levels(pen, bench, Box(box.left, top, box.width, box.bottom - top))
        return
    *wide, ladder = _widths(pen, box.width)
    left = box.left
    for width, lines in zip(wide, _columns(pen, bench, wide), strict=True):
        _draw_lines(pen, lines, Box(left, box.top, width, box.height))
        left += width + gap
    _draw_levels(pen, bench, Box(box.right - ladder, box.top, ladder, box.height))


def bench_height(pen: Pen, bench: Bench, width: float) -> float:
    """Pixels that the bench wants."""
    if width < NARROW:
        tall = sum(_height(lines) for lines in _columns(pen, bench, (width, width)))
        return tall + GAP * pen.sizes.scale + _levels_height(pen, bench, width)
    *wide, ladder = _widths(pen, width)
    tall = max(_height(lines) for lines in _columns(pen, bench, wide))
    return max(tall, _levels_height(pen, bench, ladder))


def _widths(pen: Pen, width: float) -> list[float]:
    """Pixels across for each column."""
    room = width - 2 * GAP * pen.sizes.scale
    return [share * room for share in COLUMNS]


def _columns(pen: Pen, bench: Bench, wide: Sequence[float]) -> tuple[list[Line], list[Line]]:
    """The words, and the stress."""
    return _words(pen, bench, wide[0]), _stress(pen, bench, wide[1])


def _words(pen: Pen, bench: Bench, width: float) -> list[Line]:
    small, said = pen.sizes.small, pen.sizes.name
    claim, *grounds = bench.said
    lines = [Line(row, said, "italic") for row in fit_lines(claim.words, said, width, MOST_LINES, "italic")]
    lead = max((pen.width(ground.lead, small) for ground in grounds), default=0.0) + 0.7 * small
    most = 1 if bench.missing else 3
    for ground in grounds:
        for n, row in enumerate(fit_lines(ground.words, small, width - lead, most, "italic")):
            above = 0.0 if n else 0.3 * small
            lines.append(Line(row, small, "italic", lead="" if n else ground.lead, indent=lead, above=above))
    if bench.missing:
        lines.append(Line(MISSING, small, "bold", above=0.7 * small))
        for need in bench.missing[:MOST_MISSING]:
            lines += [Line(row, small) for row in fit_lines(need.told, small, width, 2)]
            lines += [Line(row, small, token="ink2") for row in fit_lines(need.act, small, width, 2)]
    return lines


def _stress(pen: Pen, bench: Bench, width: float) -> list[Line]:
    """Each kind of change in words, then its bar."""
    small = pen.sizes.small
    if not bench.stress:
        return [Line(row, small, token="ink2") for row in fit_lines(NO_STRESS_YET, small, width, 2)]
    lines = [Line(STILL_TRUE, small, "bold")]
    for one in bench.stress:
        lines += [Line(row, small) for row in fit_lines(one.words, small, width, 2)]
        lines.append(Line("", small, stress=one))
    return lines


def _height(lines: Sequence[Line]) -> float:
    return sum(LEADING * line.size + line.above for line in lines)


def _draw_lines(pen: Pen, lines: Sequence[Line], box: Box) -> None:
    y = box.top
    for line in lines:
        y += line.above
        baseline = y + 0.86 * line.size
        pen.text((box.left, baseline), line.lead, line.size, token="ink2")
        at = (box.left + line.indent, baseline)
        pen.text(at, line.words, line.size, token=line.token, voice=line.voice)
        if line.stress:
            _draw_stress(pen, line.stress, box, baseline)
        y += LEADING * line.size


def _draw_stress(pen: Pen, one: Stress, box: Box, baseline: float) -> None:
    """Of the changes tried, those survived: a bar and its count."""
    size = pen.sizes.small
    count = kept_of(one.kept, one.tried)
    wide = box.width - pen.width(kept_of(99, 99), size) - 0.6 * size
    tall = BAR * size
    bar = Box(box.left, baseline - 0.55 * size, wide, tall)
    pen.text((box.right, baseline), count, size, anchor="end")
    pen.block(bar, "glaze2")
    if one.kept:
        pen.block(Box(bar.left, bar.top, wide * one.kept / one.tried, tall), "ink")


def _rows(pen: Pen, level: ClaimLevel, width: float) -> list[str]:
    """The words beside a rung, the level first."""
    size = pen.sizes.small
    voice: Voice = "bold" if level.asked else "regular"
    rows = fit_lines(f"{level.level}  {level.words}", size, width - _rails(pen) - 1.2 * size, 3, voice)
    return [*rows, ASKED] if level.asked else rows


def _rails(pen: Pen) -> float:
    """Pixels between the rails."""
    return 64.0 * pen.sizes.scale


def _levels_height(pen: Pen, bench: Bench, width: float) -> float:
    return sum(_tall(pen, level, width) for level in bench.levels)


def _tall(pen: Pen, level: ClaimLevel, width: float) -> float:
    return LEADING * pen.sizes.small * len(_rows(pen, level, width)) + 0.5 * pen.sizes.small


def _draw_levels(pen: Pen, bench: Bench, box: Box) -> None:
    """From the bottom: level 0 to 6, each as lit, measured and not met, or a gap."""
    size, scale, rails = pen.sizes.small, pen.sizes.scale, _rails(pen)
    spare = max(0.0, box.height - _levels_height(pen, bench, box.width)) / len(bench.levels)
    for x in (box.left + 6 * scale, box.left + rails):
        pen.segment((x, box.top), (x, box.bottom), "ink", 3.0 * scale)
    y = box.bottom
    for level in bench.levels:
        tall = _tall(pen, level, box.width) + spare
        middle = y - tall / 2
        _draw_bar(pen, level, Box(box.left, middle, rails + 6 * scale, 0.0))
        rows = _rows(pen, level, box.width)
        first = middle - (len(rows) - 1) * LEADING * size / 2 + 0.34 * size
        for place, row in enumerate(rows):
            mine = level.asked and place == len(rows) - 1
            voice: Voice = "bold" if level.asked and not mine else "regular"
            at = (box.left + rails + 1.2 * size, first + place * LEADING * size)
            pen.text(at, row, size, voice=voice, token="ink2" if mine else "ink")
        y -= tall


def _draw_bar(pen: Pen, level: ClaimLevel, at: Box) -> None:
    """The three states of a rung, as on the ladder of three."""
    scale = pen.sizes.scale
    if level.state == "cannot-test":
        stub = 0.22 * at.width
        pen.segment((at.left, at.top), (at.left + stub, at.top), "ink", 3.4 * scale)
        pen.segment((at.right - stub, at.top), (at.right, at.top), "ink", 3.4 * scale)
        return
    tall = (13 if level.state == "lit" else 8) * scale
    across = Box(at.left, at.top - tall / 2, at.width, tall)
    pen.block(across, "straw" if level.state == "lit" else "sheet", 1.9 * scale, radius=2.0)
