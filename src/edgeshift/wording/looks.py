"""When the third rung is judged, when it waits, and why: at most twenty words each."""

from __future__ import annotations

from collections.abc import Mapping

from edgeshift.wording.numbers import count

NO_LOOK = {
    "unwritten": "this look could not be written in the book: no test",
    "unplanned": "fewer than two units planned in an arm: no test",
    "not-looked": "no look had been taken by then: no test yet",
}
"""Why the third rung was never judged."""
LEVEL_OF_FAMILY = (
    "The third rung's level also follows from the other answers of the family: it may change with them."
)
"""Holm's price depends on every chance of the family."""
ANYWHERE = "the largest difference anywhere"
"""What is compared where the whole curve judges."""
NO_PAIR = "no two pairs are complete yet: no test"
REPEAT_OR_GIVE_UP = "Scan it again, or set it aside yourself: then it counts with what it has."
"""Where a unit waits for a scan that only the tool set aside."""
ACTS = {
    "unwritten": "Ask again where the folder can be written: every look goes into its book.",
    "unplanned": "Plan at least two units in each arm.",
    "not-looked": "",
    "spent": "",
    "plan-changed": "",
}


def act(waiting: str, next_at: int | None, paired: bool, for_a_scan: bool = False) -> str:
    """What would let the third rung be judged next; empty where nothing would. `for_a_scan` is whether a
    unit waits only for scans that the tool set aside."""
    if waiting in ACTS:
        return ACTS[waiting]
    if for_a_scan:
        return REPEAT_OR_GIVE_UP
    each = "" if paired else " in each arm"
    return f"Complete {_counted(next_at, paired)}{each}: then the third rung is judged."


def beyond_the_plan(paired: bool) -> str:
    """Where no further look is planned."""
    more = "pair" if paired else "unit"
    return f"A {more} beyond the plan is shown, but not judged; the third rung stays as it is."


def incomplete(unit: str, found: int, spots: int, scans: int) -> str:
    """Which unit keeps the first look waiting: how many of its spots have all their scans."""
    each = "its scan" if scans == 1 else f"{count(scans)} scans"
    ready = count(found) if found else "none"
    return f"{{unit:{unit}}} is not complete: {ready} of {_counted_spots(spots)} with {each}"


def too_few_left(units: int) -> str:
    """Where decisions since the look left fewer than two complete units."""
    return f"fewer than two complete units are left of the look at {count(units)}"


WAITING = {
    "unwritten": "a newer look could not be written down.",
    "not-looked": "no newer look had been taken by then.",
    "spent": "every planned look is taken.",
    "plan-changed": "the first look's plan stays in force.",
    "pair": "it waits for the next complete pair.",
    "unit": "it waits for the next complete unit.",
}


def frozen(units: int, paired: bool, waiting: str) -> str:
    """Why the third rung rests on less than what is shown."""
    return f"The third rung is frozen since the look at {_counted(units, paired)}: {WAITING[waiting]}"


def short(detail: Mapping) -> str:
    """The same for the rung of a picture; nothing where the rung rests on all that is shown."""
    if not detail.get("frozen") or not detail.get("looks"):
        return ""
    paired, next_at = detail["paired"], detail.get("next_look_at")
    last = detail["looks"][-1]
    first_plan = last.get("planned")
    kept = detail.get("planned_now", first_plan) == first_plan
    over = "every planned look is taken" if kept else "the first look's plan stays in force"
    then = f"judged next at {count(next_at)}" if next_at else over
    return f"frozen at {_counted(last['units'], paired)}; {then}"


def taken(units: int, planned: int, paired: bool, more: int) -> str:
    """What the last look was, and how many stood before it."""
    before = f", after {count(more)} earlier {'look' if more == 1 else 'looks'}" if more else ""
    return f"look at {count(units)} of {_counted(planned, paired)} planned{before}; its share of the level"


def judged_of(units: Mapping[str, int]) -> str:
    """What the third rung rests on where that is less than what is shown."""
    told = " and ".join(f"{number} of {{arm:{arm}}}" for arm, number in units.items())
    return f"the third rung rests on {told}, complete by its last look; the picture shows everything"


def judged_again(acts: int) -> str:
    """People decided about the same look."""
    after = f"{count(acts)} {_plural('decision', acts)}"
    return f"The third rung was judged again at the same look, after {after}."


def plan_changed(first: int, now: int, paired: bool) -> str:
    """The text plans another number of units than at the first look."""
    return (
        f"The first look's plan of {_counted(first, paired)} stays in force; the text now plans {count(now)}."
    )


def under_another_name(looks: int) -> str:
    """The text calls the treated arm by another name since."""
    were, count_here = ("was", "counts") if looks == 1 else ("were", "count")
    told = f"{count(looks).capitalize()} {_plural('look', looks)} {were} taken under another arm's name"
    return f"{told}; {'it' if looks == 1 else 'they'} {count_here} here too."


def exact(as_far: int, ways: int, fewest: int, paired: bool, by_feature: bool) -> str:
    """The companion without assumptions, in counts; the share stands behind it."""
    how = "swap inside pairs" if paired else "reshuffle the units"
    of = "the declared feature" if by_feature else ANYWHERE
    do = "does" if as_far == 1 else "do"
    return f"at least {fewest} of {ways} ways to {how} must reach as far ({of}); {as_far} {do}"


def _counted(units: int, paired: bool) -> str:
    return f"{count(units)} {_plural('pair' if paired else 'unit', units)}"


def _counted_spots(spots: int) -> str:
    return f"{count(spots)} {_plural('spot', spots)}"


def _plural(word: str, number: int) -> str:
    return word if number == 1 else f"{word}s"
