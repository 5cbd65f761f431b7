"""Rows of delimited numbers: which delimiter and decimal mark, where they stand, what is damaged.

numpy turns the words into numbers; everything here only decides which words those are.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

NUMBER = re.compile(
    r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eEdD][+-]?\d+)?\Z|[+-]?(?:nan|inf|infinity)\Z", re.IGNORECASE
)
STARTS_A_NUMBER = re.compile(r"\s*(?:[+-]?\.?\d|nan\b)", re.IGNORECASE)
MARKERS = "#;%!"
LONGEST = 60
"""Characters; a longer word is no number that an instrument writes."""
LARGEST = 1e100
"""No instrument reads more; a larger number is damage and counts as a cell without a number."""
MOST_NAMED = 5
"""So many damaged rows are named one by one; further ones are counted."""


@dataclass(frozen=True)
class Style:
    """How a row is cut: `separator` is None for any run of blanks; `decimal` is '.' or ','."""

    separator: str | None = None
    decimal: str = "."

    def words(self, line: str) -> list[str]:
        """The cells of one row; an empty cell of a separated row is the word 'nan'."""
        if self.decimal == ",":
            line = line.replace(",", ".")
        if self.separator is None:
            return line.split()
        cells = [cell.strip() for cell in line.split(self.separator)]
        while cells and not cells[-1]:
            cells.pop()
        return [cell or "nan" for cell in cells]


STYLES = (Style(), Style(","), Style(";"), Style(";", ","), Style(None, ","))


@dataclass(frozen=True)
class Block:
    """Numbers that belong together: `values` (rows, columns), and the line numbers from 0."""

    values: np.ndarray
    lines: tuple[int, ...]
    complaints: tuple[str, ...] = ()


def is_number(word: str) -> bool:
    """Whether a word is one number with a decimal point; 'nan' counts, '1_000' does not."""
    return len(word) <= LONGEST and NUMBER.match(word) is not None


def style_of(lines: Sequence[str]) -> Style:
    """The style that makes most of a sample of rows all numbers, or else finds most numbers in them."""
    rows = [line for line in lines if STARTS_A_NUMBER.match(line)]
    sample = rows[:: max(1, len(rows) // 24)]
    scores = [sum(_count(style.words(line)) >= 2 for line in sample) for style in STYLES]
    if not max(scores):
        scores = [sum(sum(map(is_number, style.words(line))) for line in sample) for style in STYLES]
    return STYLES[scores.index(max(scores))]


def blocks(lines: Sequence[str], style: Style, ended: bool) -> list[Block]:
    """The tables of numbers among the lines, in order; usually one.

    `ended` says that the file ended with a line end. The longest run of full rows counts; damaged
    rows, blank lines and comment lines inside it do not end it. Where a comment line stands before
    numbers that start afresh, a further block begins. Rows of another width before it are header.
    """
    whole = _undamaged(lines, style, ended)
    if whole is not None:
        return [whole]
    counts = [_count(style.words(line)) if STARTS_A_NUMBER.match(line) else 0 for line in lines]
    span = _longest_run(counts)
    if span is None:
        numbered = _words_taken_out(lines, style)
        return [] if numbered is None else blocks(numbered, replace(style, decimal="."), ended)
    width = counts[span[0]]
    first = _backwards(lines, counts, span[0], width, style)
    found, damaged, end = _gathered(lines, counts, first, width, style)
    made = [_block(lines, rows, damaged, style, ended) for rows in found]
    led = _leading(lines, first, made[0], style)
    if led:
        words = _named(led, "does not fit the table, so it is left out")
        made[0] = replace(made[0], complaints=(*words, *made[0].complaints))
    left = [index for index in range(end, len(lines)) if counts[index] == width]
    if left:
        words = f"{len(left)} rows of numbers after line {end + 1} are left out, for words stand before them."
        made[-1] = replace(made[-1], complaints=(*made[-1].complaints, words))
    return made


def _words_taken_out(lines: Sequence[str], style: Style) -> list[str] | None:
    """The lines with 'nan' for every word in rows of mixed words and numbers, such as clock times.

    None where fewer than two rows hold two numbers beside their words.
    """
    cleaned, mixed = [], 0
    for line in lines:
        words = style.words(line)
        numbers = [word if is_number(word) else "nan" for word in words]
        is_row = 2 <= sum(map(is_number, words)) < len(words) and STARTS_A_NUMBER.match(line) is not None
        cleaned.append((style.separator or " ").join(numbers) if is_row else line)
        mixed += is_row
    return cleaned if mixed >= 2 else None


def _gathered(
    lines: Sequence[str], counts: list[int], first: int, width: int, style: Style
) -> tuple[list[list[int]], list[int], int]:
    """Full rows by block, damaged rows, and the line of words (or the end) that closed the last block."""
    found: list[list[int]] = [[]]
    damaged: list[int] = []
    after_comment = False
    for index in range(first, len(lines)):
        if counts[index] == width:
            if after_comment and _starts_afresh(lines, found[-1], index, style):
                found.append([])
            found[-1].append(index)
            after_comment = False
        elif _nearly(lines[index], width, style):
            damaged.append(index)
        elif lines[index].lstrip().startswith((*MARKERS, "//")):
            after_comment = True
        elif lines[index].strip():
            return found, damaged, index
    return found, damaged, len(lines)


def _count(words: list[str]) -> int:
    """The number of words when all of them are numbers, and at least one a real one; else 0."""
    if all(map(is_number, words)) and any(word != "nan" for word in words):
        return len(words)
    return 0


def _undamaged(lines: Sequence[str], style: Style, ended: bool) -> Block | None:
    """The quick way: from the first row of numbers to the end, all rows full and of one width."""
    first = next((i for i, line in enumerate(lines) if STARTS_A_NUMBER.match(line)), None)
    if first is None:
        return None
    rows = [index for index in range(first, len(lines)) if lines[index].strip()]
    words = [style.words(lines[index]) for index in rows]
    if (
        len({len(row) for row in words}) != 1
        or len(words[0]) < 2
        or any("_" in lines[index] for index in rows)
    ):
        return None
    try:
        values = np.array(words, dtype=float)
    except ValueError:
        return None
    if not (np.abs(values) < LARGEST).all():
        return None
    return _without_a_cut_end(Block(values, tuple(rows)), lines, ended)


def _longest_run(counts: list[int]) -> tuple[int, int] | None:
    """First and last line of the longest run of rows of one width (two or more columns)."""
    best, start = None, 0
    for index in range(1, len(counts) + 1):
        if index == len(counts) or counts[index] != counts[start]:
            if counts[start] >= 2 and (best is None or index - start > best[1] - best[0] + 1):
                best = (start, index - 1)
            start = index
    return best


def _nearly(line: str, width: int, style: Style) -> bool:
    """A damaged row: half of its words are numbers, and the first one or the number of words fits."""
    words = style.words(line)
    if not words or line.lstrip().startswith((*MARKERS, "//")):
        return False
    return 2 * sum(map(is_number, words)) >= len(words) and (is_number(words[0]) or len(words) == width)


def _backwards(lines: Sequence[str], counts: list[int], first: int, width: int, style: Style) -> int:
    """The first row of the block: earlier full rows count when only damaged rows stand between."""
    best = first
    for index in range(first - 1, -1, -1):
        if counts[index] == width:
            best = index
        elif not _nearly(lines[index], width, style) or abs(len(style.words(lines[index])) - width) > 2:
            break
    return best


def _leading(lines: Sequence[str], first: int, block: Block, style: Style) -> list[int]:
    """Damaged rows just above the first full one: no header line starts with a number on their axis."""
    width, axis = block.values.shape[1], block.values[:, 0]
    steps = np.abs(np.diff(axis[np.isfinite(axis)]))
    reach = 5.0 * float(np.median(steps)) if steps.size else 0.0
    led: list[int] = []
    for index in range(first - 1, -1, -1):
        words = style.words(lines[index])
        if not STARTS_A_NUMBER.match(lines[index]) or not _nearly(lines[index], width, style):
            break
        if abs(len(words) - width) > 2:
            break
        if is_number(words[0]) and not abs(float(_float_word(words[0])) - axis[0]) <= reach * (len(led) + 1):
            break
        led.insert(0, index)
    return led


def _starts_afresh(lines: Sequence[str], rows: list[int], following: int, style: Style) -> bool:
    """Whether the numbers after a comment line jump back instead of continuing the rows before."""
    if len(rows) < 3:
        return False
    first, last, after = (
        float(_float_word(style.words(lines[k])[0])) for k in (rows[0], rows[-1], following)
    )
    ahead = (after - last) * (1.0 if last >= first else -1.0)
    return ahead < -0.25 * abs(last - first)


def _float_word(word: str) -> str:
    return word.replace("d", "e").replace("D", "E")


def _block(lines: Sequence[str], rows: list[int], damaged: list[int], style: Style, ended: bool) -> Block:
    values = np.array([[_float_word(word) for word in style.words(lines[k])] for k in rows], dtype=float)
    inside = [k for k in damaged if rows[0] < k <= rows[-1] or k == rows[-1] + 1]
    complaints = _named([k for k in inside if k < rows[-1]], "does not fit the table, so it is left out")
    complaints += [
        f"Line {k + 1}, the last, is cut short, so it is left out." for k in inside if k > rows[-1]
    ]
    holes = ~(np.abs(values) < LARGEST)
    values[holes] = np.nan
    wordy = holes.all(axis=0)
    complaints += [f"Column {number + 1} holds no numbers." for number in np.flatnonzero(wordy)]
    holes &= ~wordy
    if holes.any():
        complaints += _named(
            [rows[i] for i in np.flatnonzero(holes.any(axis=1))], "holds a cell without a number"
        )
    block = Block(values, tuple(rows), tuple(complaints))
    return _without_a_cut_end(block, lines, ended)


def _named(rows: list[int], words: str) -> list[str]:
    named = [f"Line {index + 1} {words}." for index in rows[:MOST_NAMED]]
    if len(rows) > MOST_NAMED:
        named.append(f"{len(rows) - MOST_NAMED} more lines are damaged in the same way.")
    return named


def _without_a_cut_end(block: Block, lines: Sequence[str], ended: bool) -> Block:
    """Leave out a last row without a line end that is shorter than one of the five before it.

    Its last number may have lost digits, and a number that lost digits looks plausible.
    """
    last = block.lines[-1]
    if ended or last != len(lines) - 1 or len(block.lines) < 6:
        return block
    if len(lines[last].rstrip()) >= max(len(lines[k].rstrip()) for k in block.lines[-6:-1]):
        return block
    complaint = f"Line {last + 1}, the last, has no end and is short, so it is left out."
    return Block(block.values[:-1], block.lines[:-1], (*block.complaints, complaint))
