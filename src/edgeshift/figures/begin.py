"""Can we begin? The readings, the fan of futures, and the answer on the limit that the host typed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Capsule, Fan, Figure, FlagMark, Future, Ruler
from edgeshift.wording import begin as words
from edgeshift.wording.figures import printed


def figure(answer: Answer) -> Figure:
    """The fan; without a forecast the dots alone, without readings a blank."""
    detail = answer.detail
    seen = detail.get("readings")
    told = words.alt(detail, answer.sentence)
    if not seen:
        act = answer.would_change_it[0] if answer.would_change_it else ""
        return Figure("begin", answer.sentence, (Blank("empty", words.NO_READINGS, act),), f"{told} {act}")
    asked = words.QUESTION if answer.verdict in ("not-yet", "stalled") else None
    return Figure("begin", answer.marked, (_fan(answer, detail),), told, asked)


def _fan(answer: Answer, detail: Mapping[str, Any]) -> Fan:
    minutes, mbar = (tuple(map(float, detail["readings"][name])) for name in ("minutes", "mbar"))
    future = detail.get("fan")
    last = future["minutes"][-1] if future else minutes[-1]
    first = 0.0 if detail["began_known"] else minutes[0]
    ruler = Ruler(
        first, max(last, first + 1.0), words.SINCE_BEGAN if detail["began_known"] else words.SINCE_FIRST
    )
    limit = detail["limit_mbar"]
    return Fan(
        ruler,
        minutes,
        mbar,
        words.PRESSURE,
        limit,
        (words.THE_LIMIT, f"{printed(f'{limit:.1e}')} mbar" if limit else ""),
        _future(future) if future else None,
        words.FAN_WORDS,
        _capsule(answer, detail, minutes[-1]) if answer.verdict == "not-yet" else None,
        words.NOW if future else "",
        _flags(detail, minutes, mbar),
        _aside(detail),
    )


def _future(fan: Mapping[str, Any]) -> Future:
    names = ("minutes", "low", "quarter", "middle", "three_quarters", "high")
    return Future(*(tuple(map(float, fan[name])) for name in names))


def _capsule(answer: Answer, detail: Mapping[str, Any], now: float) -> Capsule:
    low, value, high = (detail["minutes"][name] for name in ("low", "value", "high"))
    end = words.minutes_end(high)
    return Capsule(
        now + value,
        now + low,
        None if high is None else now + high,
        (words.rounded(low), words.rounded(value), end),
    )


def _flags(
    detail: Mapping[str, Any], minutes: tuple[float, ...], mbar: tuple[float, ...]
) -> tuple[FlagMark, ...]:
    """Each step on the first reading after it; named once."""
    found = []
    for step in detail.get("steps") or ():
        place = minutes.index(step)
        found.append(FlagMark(step, mbar[place], "" if found else words.STEPPED, "gauge-stepped"))
    return tuple(found)


def _aside(detail: Mapping[str, Any]) -> tuple[str, ...]:
    if not detail.get("cause"):
        return ()
    said = words.looks_like(detail["cause"])
    return (said[0].upper() + said[1:], words.WHY[detail["cause"]])
