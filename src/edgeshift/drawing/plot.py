"""A plot: strips on one ruler, all with the same pixels per unit, names at line ends, no frame."""

from __future__ import annotations

from dataclasses import replace

from edgeshift.drawing.curves import Frame, draw_band, draw_line, draw_markers, draw_overlap
from edgeshift.drawing.flags import draw_flags, headroom
from edgeshift.drawing.names import draw_end_names, draw_label, label_room, names_width
from edgeshift.drawing.pen import Box, Pen
from edgeshift.drawing.rulers import CELL_HEIGHT, bar_words_width, draw_ruler, draw_scale_bar
from edgeshift.records.figure import Band, FlagMark, Label, Line, Plot, Strip

GAP = 10.0


def draw_plot(pen: Pen, plot: Plot, box: Box) -> None:
    """Everything of `plot` inside `box`."""
    body, foot, most = _body(pen, plot, box)
    flags = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, FlagMark)]
    wide = Frame(body, plot.ruler, 0.0, 1.0)
    head = headroom(pen, wide, flags)
    frames = frame_strips(plot, Box(body.left, body.top + head, body.width, body.height - head))
    frames = [_with_room(pen, strip, frame) for strip, frame in zip(plot.strips, frames, strict=True)]
    for strip, frame in zip(plot.strips, frames, strict=True):
        _draw_bands(pen, strip, frame)
    for at in plot.hairlines:  # over the bands: a wide one would hide where the feature is read
        x = float(wide.across(at))
        pen.segment((x, body.top), (x, foot), "line", 1.2)
    for strip, frame in zip(plot.strips, frames, strict=True):
        _draw_lines(pen, strip, frame)
    for strip, frame in zip(plot.strips, frames, strict=True):
        draw_flags(pen, frame, [m for m in strip.marks if isinstance(m, FlagMark)], body.top)
        draw_end_names(pen, frame, [m for m in strip.marks if isinstance(m, Line)], most)
        for label in (m for m in strip.marks if isinstance(m, Label)):
            draw_label(pen, frame, strip, label, plot.hairlines)
    if plot.bar:
        ground = float(frames[0].down(max(0.0, frames[0].low)))
        tall = ground - float(frames[0].down(max(0.0, frames[0].low) + plot.bar.height))
        draw_scale_bar(pen, plot.bar, (box.left + 2, ground), tall)
    draw_ruler(pen, plot.ruler, Box(body.left, foot, body.width, CELL_HEIGHT))
    words_at = (body.right, foot + CELL_HEIGHT + 2.3 * pen.sizes.small)
    pen.text(words_at, plot.ruler.words, pen.sizes.small, anchor="end", token="ink2")


def _body(pen: Pen, plot: Plot, box: Box) -> tuple[Box, float, float]:
    """Where the strips stand, the y of the ruler, and how wide the names may be."""
    size, left = pen.sizes.small, 2.0
    if plot.bar:
        left += 17 + bar_words_width(pen, plot.bar) + 10 * pen.sizes.scale
    lines = [mark for strip in plot.strips for mark in strip.marks if isinstance(mark, Line)]
    most = 0.24 * box.width
    named = names_width(pen, lines, most)
    right = named + 44 * pen.sizes.scale if named else 0.0
    foot = box.bottom - CELL_HEIGHT - 2.7 * size
    return Box(box.left + left, box.top, box.width - left - right, foot - box.top - 4), foot, most


def frame_strips(plot: Plot, body: Box) -> list[Frame]:
    """One frame a strip, from the top; the same pixels per unit in each."""
    gaps = GAP * (len(plot.strips) - 1)
    per_unit = (body.height - gaps) / sum(strip.high - strip.low for strip in plot.strips)
    frames, top = [], body.top
    for strip in plot.strips:
        tall = per_unit * (strip.high - strip.low)
        frames.append(Frame(Box(body.left, top, body.width, tall), plot.ruler, strip.low, strip.high))
        top += tall + GAP
    return frames


def _with_room(pen: Pen, strip: Strip, frame: Frame) -> Frame:
    """The frame with its bands cut low enough for the strip's label, where a band fills the strip."""
    labels = [mark for mark in strip.marks if isinstance(mark, Label)]
    over = any(max(mark.high) > strip.high for mark in strip.marks if isinstance(mark, Band))
    return replace(frame, ceiling=label_room(pen, frame, labels[0])) if labels and over else frame


def _draw_bands(pen: Pen, strip: Strip, frame: Frame) -> None:
    """Bands, and where they overlap."""
    bands = [mark for mark in strip.marks if isinstance(mark, Band)]
    for band in bands:
        draw_band(pen, frame, band)
    for first, second in zip(bands, bands[1:], strict=False):
        draw_overlap(pen, frame, first, second)


def _draw_lines(pen: Pen, strip: Strip, frame: Frame) -> None:
    """The zero line, the lines, their markers: in this order."""
    lines = [mark for mark in strip.marks if isinstance(mark, Line)]
    if strip.zero:
        y = float(frame.down(0.0))
        pen.segment((frame.box.left, y), (frame.box.right, y), "ink", 1.5)
    for line in lines:
        draw_line(pen, frame, line, (3.5 if line.marked else 2.8) * pen.sizes.scale)
    for place, line in enumerate(line for line in lines if line.marked):
        draw_markers(pen, frame, line, place % 2 * 0.7 + place // 2 * 0.3)
