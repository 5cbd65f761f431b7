"""What one more scan, spot or unit would do to the give-or-take, in words: at most twenty a sentence."""

from __future__ import annotations

from collections.abc import Mapping

NAMES = {
    "scan": "one more scan on every spot",
    "spot": "one more spot on every unit",
    "unit": "one more unit in each arm",
    "pair": "one more pair",
}
REASONS = {
    "one-unit": "one unit in an arm shows no scatter",
    "one-pair": "one pair shows no scatter",
    "one-spot": "one spot per unit everywhere",
    "one-scan": "one scan per spot everywhere",
    "few-units": "too few units",
    "wide": "too few repeats",
    "identical": "the repeats are identical",
    "uneven": "some unit's specimens have unequal numbers of spots",
    "unreadable": "not every scan can be read there",
}
"""Why no number is told."""
RANGES = ("few-units", "wide")
"""Where the range itself is news, though no number in it is."""


def fact(weighed: Mapping, detail: Mapping) -> str:
    """One act of `detail["one_more"]`, as a reason."""
    name, what = _name(weighed, detail), _what(detail)
    reason = weighed["reason"]
    if reason in RANGES:
        return f"cannot tell what {name} would do, perhaps {_from_to(weighed)} narrower: {REASONS[reason]}"
    if reason:
        why = REASONS["one-pair" if reason == "one-unit" and detail["paired"] else reason]
        return f"cannot tell what {name} would do: {why}"
    if weighed["act"] == "unit":
        return f"{name} would narrow {what} by at least {_percent(weighed['high'])}"
    return f"{name} would narrow {what} by {_percent(weighed['middle'])}{_between(weighed)}"


def acts(detail: Mapping) -> tuple[str, ...]:
    """What narrows most; where the data cannot say, that.

    A unit also makes the scatter better known, which is not counted: what is told of it is the least that it
    does, so only a unit can be said to narrow most.
    """
    told = [each for each in detail["one_more"] if not each["reason"]]
    dark = [each for each in detail["one_more"] if each["reason"]]
    if not told:
        more = "pairs" if detail["paired"] else "units in each arm"
        return (f"More {more}; what they or more scans would do, we cannot tell.",)
    best = min(told, key=lambda each: each["middle"])
    unit = [each for each in told if each["act"] == "unit" and each is not best]
    most = " most," if best["act"] == "unit" and not dark else ""
    said = [_act(best, detail, most), *(_act(each, detail, "") for each in unit)]
    return (*said, _untold(dark, detail)) if dark else tuple(said)


def _act(weighed: Mapping, detail: Mapping, most: str) -> str:
    far = _percent(weighed["middle"])
    if weighed["act"] == "unit":
        far = f"at least {_percent(weighed['high'])}"
    return f"{_name(weighed, detail).capitalize()} would narrow {_what(detail)}{most} by {far}."


def _untold(dark: list[Mapping], detail: Mapping) -> str:
    names = [_name(each, detail) for each in dark]
    if len(names) > 1:
        names = [" ".join(name.split()[:3]) for name in names]
    return f"Whether {' or '.join(names)} would narrow it more, we cannot tell."


def _name(weighed: Mapping, detail: Mapping) -> str:
    return NAMES["pair" if weighed["act"] == "unit" and detail["paired"] else weighed["act"]]


def _what(detail: Mapping) -> str:
    return "the give-or-take" if detail["judged_by"] == "feature" else "the band"


def _percent(ratio: float) -> str:
    narrower = round(100 * (1 - ratio))
    return f"{narrower} %" if narrower else "less than 1 %"


def _range(weighed: Mapping) -> tuple[int, int]:
    """By how many percent it narrows, least and most."""
    return round(100 * (1 - weighed["high"])), round(100 * (1 - weighed["low"]))


def _from_to(weighed: Mapping) -> str:
    """The range alone; what rounds to nothing is not called 0."""
    least, most = _range(weighed)
    if least == most:
        return _percent(weighed["high"])
    return f"{least} to {most} %" if least else f"at most {most} %"


def _between(weighed: Mapping) -> str:
    least, most = _range(weighed)
    if least == most:
        return ""
    return f", between {least} and {most} %" if least else f", at most {most} %"
