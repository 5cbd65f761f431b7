"""Do we trust this trace? One trace in its band with its flags, or every scan on its shelf."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from edgeshift.figures.findings import notes_of
from edgeshift.figures.ranges import floats, padded, reach, scale_bar
from edgeshift.records.answer import Answer
from edgeshift.records.figure import (
    Band,
    Blank,
    Figure,
    FlagMark,
    Line,
    Numbers,
    Plot,
    Ruler,
    Shelf,
    ShelfReason,
    ShelfRow,
    Strip,
    Tick,
)
from edgeshift.wording import figures as words

QUIET = ("dead-time-beside",)
"""Not told above the shelf: a counter beside the one whose scans stand there."""
MOST_CAUSES = 5
"""More causes than this are ringed, not named: a picture holds few words."""


def figure(answer: Answer) -> Figure:
    """The trace in `detail["trace"]` where there is one, else the overview of all scans."""
    trace = answer.detail.get("trace")
    return trace_figure(answer, trace) if trace and trace["energy_ev"] else overview(answer)


def overview(answer: Answer) -> Figure:
    """Every scan of the shift, one row an edge, in the order they came."""
    scans = answer.detail.get("scans") or {}
    by_edge: dict[str, list[tuple[str, Mapping[str, Any]]]] = {}
    for file, scan in scans.items():
        by_edge.setdefault(scan.get("edge") or words.NO_EDGE, []).append((file, scan))
    rows = tuple(_row(edge, group) for edge, group in by_edge.items())
    if not rows:
        blank = Blank("empty", words.NOTHING_YET, words.ADD_A_SCAN)
        return Figure("trust", answer.marked, (blank,), words.plain_alt(answer.sentence, [words.NOTHING_YET]))
    findings = _of_the_shift(answer.detail.get("findings") or (), scans)
    told = [words.found_in_shift(each["sentence"], each["scans"]) for each in findings]
    alt = words.plain_alt(answer.sentence, [*told, *(words.shelf_row(row) for row in rows)])
    notes = notes_of(findings, words.found_in_shift)
    return Figure("trust", answer.marked, (Shelf(rows),), alt, notes=notes)


def _of_the_shift(
    findings: Sequence[Mapping[str, Any]], scans: Mapping[str, Mapping[str, Any]]
) -> list[Mapping[str, Any]]:
    """Findings about several edges, or that no scan wears: no row of the shelf tells all of them."""
    edge_of = {each["scan"]: each.get("edge") for each in scans.values()}
    return [
        each
        for each in findings
        if len({edge_of.get(key) for key in each["scans"]}) != 1 and each["code"] not in QUIET
    ]


def _row(edge: str, scans: list[tuple[str, Mapping[str, Any]]]) -> ShelfRow:
    """One edge. Another name of the same file stands on the shelf, but is no scan more."""
    states = [scan["verdict"] for _, scan in scans if not scan.get("copy_of")]
    told = words.tally(states, len(scans) - len(states))
    return ShelfRow(edge, tuple(_tick(file, scan) for file, scan in scans), told, _reasons(scans))


def _reasons(scans: list[tuple[str, Mapping[str, Any]]]) -> tuple[ShelfReason, ...]:
    """Scans by reason: first why some are set aside (what weighs most in each), then every note.

    What several scans show together stands before what one shows alone, such as a blip.
    """
    found: dict[tuple[str, str], list[str]] = {}
    for state in ("set-aside", "keep-with-a-note"):
        for file, scan in scans:
            told = (scan.get("reasons") or ())[: 1 if state == "set-aside" else None]
            for reason in told if scan["verdict"] == state else ():
                named = found.setdefault((state, words.short_reason(reason["code"], reason["sentence"])), [])
                named.append(words.scan(scan.get("scan") or file))
    order = sorted(found, key=lambda key: (key[0] != "set-aside", key[1] not in words.FOUND_TOGETHER))
    return tuple(ShelfReason(told, state, tuple(dict.fromkeys(found[state, told]))) for state, told in order)


def _tick(file: str, scan: Mapping[str, Any]) -> Tick:
    reasons = [reason["sentence"] for reason in scan.get("reasons") or ()]
    return Tick(words.scan(scan.get("scan") or file), scan["verdict"], reasons[0] if reasons else "")


def trace_figure(answer: Answer, trace: Mapping[str, Any]) -> Figure:
    """One trace: its band, its line broken at every doubted point, and the causes."""
    x, y, sigma = _sorted(trace)
    flags = _flags(x, y, trace.get("flags") or ())
    doubted = {flag.x for flag in flags}
    whole = tuple(math.nan if at in doubted else value for at, value in zip(x, y, strict=True))
    band = _band(x, whole, sigma)
    line = Line(x, whole, "neutral", words.scan(trace["scan"]), words.IN_ITS_BAND)
    reached = reach((band.low, band.high, whole, tuple(flag.y for flag in flags))) or (0.0, 1.0)
    strip = Strip(*padded(*reached, 0.04), (band, line, *flags))
    bar = scale_bar(trace.get("unit", "raw"), strip.high - strip.low)
    plot = Plot(Ruler(min(x), max(x), words.energy_at(answer.edge)), (strip,), bar)
    return Figure("trust", answer.marked, (plot,), words.trace_alt(answer, trace, len(flags)))


def _sorted(trace: Mapping[str, Any]) -> tuple[Numbers, Numbers, Numbers]:
    """Energies, values and sigmas by rising energy: a scan may have run downwards."""
    x, y, sigma = (np.array(floats(trace[name])) for name in ("energy_ev", "value", "sigma"))
    order = np.argsort(x, kind="stable")
    return tuple(x[order].tolist()), tuple(y[order].tolist()), tuple(sigma[order].tolist())


def _band(x: Numbers, whole: Numbers, sigma: Numbers) -> Band:
    """Two sigma to each side; beneath a doubted point it runs on between its neighbours."""
    known = np.isfinite(whole) & np.isfinite(sigma)
    if not known.any():
        return Band(x, whole, whole)
    at, value, wide = np.array(x), np.array(whole), 2 * np.array(sigma)
    middle = np.interp(at, at[known], value[known])
    half = np.interp(at, at[known], wide[known])
    return Band(x, tuple((middle - half).tolist()), tuple((middle + half).tolist()))


def _flags(x: tuple[float, ...], y: tuple[float, ...], flags: Any) -> list[FlagMark]:
    """Each flag on its point; one cause is named once, at its first point."""
    marks, named = [], set()
    for flag in sorted(flags, key=lambda flag: flag["energy_ev"]):
        place = min(range(len(x)), key=lambda i: abs(x[i] - flag["energy_ev"]))
        if not math.isfinite(y[place]):
            continue
        fresh = flag["words"] not in named and len(named) < MOST_CAUSES
        named.add(flag["words"])
        marks.append(FlagMark(x[place], y[place], flag["words"] if fresh else "", flag["code"]))
    return marks
