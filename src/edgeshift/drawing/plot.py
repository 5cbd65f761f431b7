"""A plot: strips on one ruler, all with the same pixels per unit, names at line ends, no frame."""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter

from edgeshift.drawing.curves import (
    Frame,
    draw_band,
    draw_beyond,
    draw_ghosts,
    draw_line,
    draw_markers,
    draw_overlap,
)
from edgeshift.drawing.flags import draw_flags, headroom
from edgeshift.drawing.metrics import ASCENT, fit_lines
from edgeshift.drawing.names import (
    LEADING,
    draw_end_names,
    draw_label,
    draw_names_above,
    end_names,
    label_room,
    names_above_room,
    names_width,
)
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, bar_words_width, draw_ruler, draw_scale_bar
from edgeshift.records.figure import Band, Beyond, FlagMark, Ghost, Label, Line, Plot, Strip

GAP = 10.0
NAMES_SHARE = 0.33
"""Names at line ends that take no more than this share of a plot's height stay beside their own strip."""

NARROW_PLOT = 420.0
"""Below this many pixels the names of lines stand above a plot: beside it they would take a third of it."""
NARROW_NOTE = 120.0
"""Where words beside a strip could be no wider than this, its note stands above it."""
TitleLine = tuple[str, str]
"""A token and words in its colour."""


def draw_plot(pen: Pen, plot: Plot, box: Box) -> None:
    """Everything of `plot` inside `box`."""
    body, foot, most = _body(pen, plot, box)
    flags = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, FlagMark)]
    wide = Frame(body, plot.ruler, 0.0, 1.0)
    head = headroom(pen, wide, flags)
    titles = _titles(pen, plot, body, box.right, most)
    below_flags = Box(body.left, body.top + head, body.width, body.height - head)
    frames = frame_strips(plot, below_flags, [_title_room(pen, lines) for lines in titles])
    frames = [_with_room(pen, strip, frame) for strip, frame in zip(plot.strips, frames, strict=True)]
    for strip, frame in zip(plot.strips, frames, strict=True):
        draw_ghosts(pen, frame, [mark for mark in strip.marks if isinstance(mark, Ghost)])
        _draw_bands(pen, strip, frame)
    for at in plot.hairlines:  # over the bands: a wide one would hide where the feature is read
        _draw_hairline(pen, float(wide.across(at)), frames, titles, (body.top, foot))
    for lines, frame in zip(titles, frames, strict=True):
        _draw_title(pen, lines, frame)
    for strip, frame in zip(plot.strips, frames, strict=True):
        _draw_lines(pen, strip, frame)
    for strip, frame in zip(plot.strips, frames, strict=True):
        draw_flags(pen, frame, [m for m in strip.marks if isinstance(m, FlagMark)], body.top)
        if not _named_above(plot, box):
            draw_end_names(pen, frame, _lines(pen, strip), most)
        _draw_note(pen, strip, frame, most)
        for label in (m for m in strip.marks if isinstance(m, Label)):
            draw_label(pen, frame, strip, label, plot.hairlines)
    if _named_above(plot, box):
        named = [line for strip in plot.strips for line in _lines(pen, strip)]
        draw_names_above(pen, named, (body.left, box.top), box.right - body.left)
    if plot.bar:
        ground = float(frames[0].down(max(0.0, frames[0].low)))
        tall = ground - float(frames[0].down(max(0.0, frames[0].low) + plot.bar.height))
        draw_scale_bar(pen, plot.bar, (box.left + 2, ground), tall)
    _place_for_pointing(pen, plot, frames, foot)
    draw_ruler(pen, plot.ruler, Box(body.left, foot, body.width, CELL_HEIGHT))
    words_at = (body.right, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
    pen.text(words_at, plot.ruler.words, pen.sizes.small, anchor="end", token="ink2")


def _body(pen: Pen, plot: Plot, box: Box) -> tuple[Box, float, float]:
    """Where the strips stand, the y of the ruler, and how wide the names may be."""
    size, left = pen.sizes.small, 2.0
    if plot.bar:
        left += 17 + bar_words_width(pen, plot.bar) + 10 * pen.sizes.scale
    lines = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, Line)]
    narrow = _named_above(plot, box)
    most = 0.0 if plot.named_above else 0.24 * box.width
    notes = [pen.width(row, size) for strip in plot.strips for row in _note_lines(pen, strip, most)]
    named = max([0.0 if narrow else names_width(pen, lines, most), *notes])
    right = named + 44 * pen.sizes.scale if named else 0.0
    head = names_above_room(pen, lines, box.width - left) if narrow else 0.0
    foot = box.bottom - CELL_HEIGHT - 2.7 * size
    top = box.top + head
    return Box(box.left + left, top, box.width - left - right, foot - top - 4), foot, most


def _named_above(plot: Plot, box: Box) -> bool:
    """Whether names of lines stand in rows above the plot."""
    return plot.named_above or box.width < NARROW_PLOT


def frame_strips(plot: Plot, body: Box, titles: list[float]) -> list[Frame]:
    """One frame a strip, from the top; the same pixels per unit in each, `titles` pixels above each."""
    gaps = GAP * (len(plot.strips) - 1) + sum(titles)
    per_unit = (body.height - gaps) / sum(strip.high - strip.low for strip in plot.strips)
    frames, top = [], body.top
    for strip, title in zip(plot.strips, titles, strict=True):
        tall = per_unit * (strip.high - strip.low)
        inside = Box(body.left, top + title, body.width, tall)
        frames.append(Frame(inside, plot.ruler, strip.low, strip.high))
        top = inside.bottom + GAP
    return frames


def _titles(pen: Pen, plot: Plot, body: Box, right: float, most: float) -> list[list[TitleLine]]:
    """The title of each strip in lines, which reach under the names above only where these are few.

    `right` is where the names end, `most` how wide they may be. On a narrow sheet the note follows it.
    """
    lines = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, Line)]
    named = sum(name.height(pen) for name in end_names(pen, lines, most)) if most else 0.0
    wide = right - body.left if named < NAMES_SHARE * body.height else body.width
    return [_title_lines(pen, strip, wide, _noted_above(strip, most)) for strip in plot.strips]


def _title_lines(pen: Pen, strip: Strip, wide: float, noted: bool) -> list[TitleLine]:
    told = [("ink", line) for line in fit_lines(strip.title, pen.sizes.small, wide, 3)]
    return told + [("ink2", line) for line in fit_lines(strip.note, pen.sizes.small, wide, 2) if noted]


def _noted_above(strip: Strip, most: float) -> bool:
    """Whether the note of a strip stands with its title: on a narrow sheet it would leave no plot."""
    return bool(strip.title) and most < NARROW_NOTE


def _title_room(pen: Pen, lines: list[TitleLine]) -> float:
    return LEADING * pen.sizes.small * len(lines) + 6 * pen.sizes.scale if lines else 0.0


def _draw_title(pen: Pen, lines: list[TitleLine], frame: Frame) -> None:
    """Words above a strip, flush with where its zero line begins."""
    first = frame.box.top - _title_room(pen, lines) + ASCENT * pen.sizes.small
    for row, (token, line) in enumerate(lines):
        pen.text(
            (frame.box.left, first + row * LEADING * pen.sizes.small), line, pen.sizes.small, token=token
        )


def _note_lines(pen: Pen, strip: Strip, most: float) -> list[str]:
    """The note of a strip where it stands beside it, broken to at most `most` pixels."""
    beside = strip.note and not _noted_above(strip, most)
    return fit_lines(strip.note, pen.sizes.small, most, 5) if beside else []


def _draw_note(pen: Pen, strip: Strip, frame: Frame, most: float) -> None:
    """Quiet words right of a strip, about its middle, where names of lines stand."""
    lines = _note_lines(pen, strip, most)
    size, left = pen.sizes.small, frame.box.right + 40 * pen.sizes.scale
    first = frame.box.top + (frame.box.height - LEADING * size * len(lines)) / 2 + ASCENT * size
    for row, line in enumerate(lines):
        pen.text((left, first + row * LEADING * size), line, size, token="ink2")


def _draw_hairline(
    pen: Pen, x: float, frames: list[Frame], titles: list[list[TitleLine]], ends: tuple[float, float]
) -> None:
    """From the top of the plot to its ruler, but not through the title of a strip."""
    top = ends[0]
    for lines, frame in zip(titles, frames, strict=True):
        if lines:
            pen.segment((x, top), (x, frame.box.top - _title_room(pen, lines)), "line", 1.2)
            top = frame.box.top
    pen.segment((x, top), (x, ends[1]), "line", 1.2)


def _with_room(pen: Pen, strip: Strip, frame: Frame) -> Frame:
    """The frame with its bands cut low enough for the strip's label, where a band fills the strip."""
    labels = [mark for mark in strip.marks if isinstance(mark, Label)]
    over = any(max(mark.high) > strip.high for mark in strip.marks if isinstance(mark, Band))
    return replace(frame, ceiling=label_room(pen, frame, labels[0])) if labels and over else frame


def _draw_bands(pen: Pen, strip: Strip, frame: Frame) -> None:
    """Bands, and where they overlap; an overlap lies in the groups of both its arms."""
    bands = pen.in_place((m for m in strip.marks if isinstance(m, Band)), attrgetter("role"))
    for band in bands:
        with pen.series(band.role):
            draw_band(pen, frame, band)
    for first, second in zip(bands, bands[1:], strict=False):
        with pen.series(first.role), pen.series(second.role):
            draw_overlap(pen, frame, first, second)


def _draw_lines(pen: Pen, strip: Strip, frame: Frame) -> None:
    """The zero line, the bars on it, the lines, their markers: in this order."""
    lines = _lines(pen, strip)
    if strip.zero:
        y = float(frame.down(0.0))
        pen.segment((frame.box.left, y), (frame.box.right, y), "ink", 1.5)
    for beyond in (m for m in strip.marks if isinstance(m, Beyond)):
        draw_beyond(pen, frame, beyond)
    for line in lines:
        width = (3.5 if line.marked else 2.8) * pen.sizes.scale
        with pen.series(line.role):
            draw_line(pen, frame, line, width, line.name or strip.title)
    for place, line in enumerate(line for line in lines if line.marked):
        with pen.series(line.role):
            draw_markers(pen, frame, line, place % 2 * 0.7 + place // 2 * 0.3)


def _lines(pen: Pen, strip: Strip) -> list[Line]:
    return pen.in_place((m for m in strip.marks if isinstance(m, Line)), attrgetter("role"))


def _place_for_pointing(pen: Pen, plot: Plot, frames: list[Frame], foot: float) -> None:
    """Invisible frames that tell a script which pixel is which energy, and in each strip which value."""
    box = frames[0].box
    pen.add(
        "rect", x=box.left, y=box.top, width=box.width, height=foot - box.top, fill="none",
        data_plot="energy", data_left=box.left, data_right=box.right,
        data_low=f"{plot.ruler.low:.8g}", data_high=f"{plot.ruler.high:.8g}",
    )  # fmt: skip
    for place, frame in enumerate(frames):
        box = frame.box
        pen.add(
            "rect", x=box.left, y=box.top, width=box.width, height=box.height, fill="none",
            data_strip=place, data_top=box.top, data_bottom=box.bottom,
            data_value_top=f"{frame.high:.6g}", data_value_bottom=f"{frame.low:.6g}",
        )  # fmt: skip
