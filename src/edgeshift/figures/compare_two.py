"""Why two scans differ: what was found of them, the pair and what is left, the causes on one ruler."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.figures.findings import notes_of
from edgeshift.figures.ranges import at_least, floats, marks_reach, padded, scale_bar
from edgeshift.records.answer import Answer
from edgeshift.records.figure import (
    Band,
    Blank,
    Figure,
    Interval,
    Intervals,
    Label,
    Line,
    Mark,
    Numbers,
    Plot,
    Role,
    Ruler,
    Strip,
)
from edgeshift.wording import figures as words

LEAST_STRIP = 0.25
"""What is left gets at least this share of what the curves above it reach over."""


def figure(answer: Answer) -> Figure:
    """The picture of `detail["autopsy"]`: parts with value, sigma, unit and share of the difference."""
    autopsy = answer.detail.get("autopsy") or {}
    parts = autopsy.get("parts") or []
    if not parts:
        blank = Blank("cannot-tell", words.NO_CAUSE)
        return Figure("differ", answer.marked, (blank,), words.plain_alt(answer.sentence, [words.NO_CAUSE]))
    causes = _causes(parts, autopsy)
    findings = answer.detail.get("findings") or ()
    panels = (_pair(autopsy, answer.edge), causes) if autopsy.get("energy_ev") else (causes,)
    told = [words.energy_at(answer.edge)] if answer.edge else []
    told += [words.cause_alt(row.name, row.words, row.main) for row in causes.rows]
    told += [words.found(each["sentence"], each["scans"]) for each in findings]
    alt = words.plain_alt(answer.sentence, told)
    return Figure("differ", answer.marked, panels, alt, notes=notes_of(findings, words.found))


def _causes(parts: list[Mapping[str, Any]], autopsy: Mapping[str, Any]) -> Intervals:
    rows = tuple(_cause(part, part["code"] == autopsy.get("main"), autopsy.get("chi2_nu")) for part in parts)
    return Intervals(Ruler(0.0, 1.0, words.SHARE), rows, share=0.47)


def _cause(part: Mapping[str, Any], main: bool, chi2_nu: float | None) -> Interval:
    """The share with the relative give-or-take of the part's own value, held between nothing and all.

    A cause with no share is never drawn as the main one, whatever it is called.
    """
    share = min(1.0, max(0.0, float(part.get("share") or 0.0)))
    value, sigma = part.get("value"), part.get("sigma")
    relative = 2 * abs(sigma / value) if value and sigma else 0.0
    low, high = max(0.0, share * (1 - relative)), min(1.0, share * (1 + relative))
    told = words.part(part["code"], value, sigma, part.get("unit") or "")
    told = words.left_over(told, chi2_nu) if part["code"] == "left" else told
    return Interval(words.CAUSES.get(part["code"], part["code"]), share, low, high, told, main and share > 0)


def _pair(autopsy: Mapping[str, Any], edge: str | None) -> Plot:
    x = floats(autopsy["energy_ev"])
    first, second = autopsy.get("names") or words.FIRST_AND_SECOND
    marks: list[Mark] = []
    both: list[Mark] = []
    for name, role, key in ((first, "control", "first"), (second, "treated", "second")):
        band, line = _curve(x, autopsy, key, role, name)
        marks += band
        both.append(line)
    upper = _strip(marks + both, 0.04, False)
    band, line = _curve(x, autopsy, "left", "neutral", "")
    lower = _strip([*band, line, Label(words.LEFT_OVER, words.LEFT_OVER_SHORT)], 0.25, True)
    low, high = at_least(lower.low, lower.high, LEAST_STRIP * (upper.high - upper.low))
    lower = Strip(low, high, lower.marks, zero=True)
    bar = scale_bar(autopsy.get("unit", "raw"), upper.high - upper.low)
    return Plot(Ruler(min(x), max(x), words.energy_at(edge)), (upper, lower), bar, share=0.53)


def _curve(
    x: Numbers, autopsy: Mapping[str, Any], key: str, role: Role, name: str
) -> tuple[list[Mark], Line]:
    """A curve with its band of two sigma, where `key`_sigma came with it."""
    y, sigma = floats(autopsy[key]), floats(autopsy.get(f"{key}_sigma") or ())
    line = Line(x, y, role, name, marked=bool(name))
    if len(sigma) != len(y):
        return [], line
    low = tuple(value - 2 * one for value, one in zip(y, sigma, strict=True))
    high = tuple(value + 2 * one for value, one in zip(y, sigma, strict=True))
    return [Band(x, low, high, role)], line


def _strip(marks: list[Mark], air: float, zero: bool) -> Strip:
    low, high = marks_reach(marks)
    if zero:
        low, high = min(low, 0.0), max(high, 0.0)
    return Strip(*padded(low, high, air), tuple(marks), zero)
