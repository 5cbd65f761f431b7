"""What a design can and cannot show, as the one shape that every question returns."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence

from edgeshift.numerics.permutations import smallest_reachable_p
from edgeshift.numerics.power import detectable
from edgeshift.planning.design import Counts, Design, counts, weakest
from edgeshift.planning.design_faults import BREAKS, ENOUGH, LEVEL, POWER, Fault, faults, open_ends
from edgeshift.records.answer import Answer, Fact
from edgeshift.wording import design as words
from edgeshift.wording.rounds import LEVELS

TWO_DIFFER, UNITS_DIFFER, RESEMBLES, CAUSED, ALL = 2, 3, 4, 5, 6


def answer_of(design: Design, answers: Mapping[str, str], unneeded: Sequence[str] = ()) -> Answer:
    """The design judged: units that count, smallest chance, what it would find, level, faults, next acts.

    `answers` are what was typed, so that every fault can name the answer that put it there; `unneeded` keys
    were answered too, and nothing came of it.
    """
    found, left = faults(design), open_ends(design)
    told = [words.fault_words(each.code, each.fill, each.key, answers.get(each.key, "")) for each in found]
    few, missing = weakest(design), _missing(design, found)
    level = _reached(missing)
    verdict = _verdict(few, found, left)
    return Answer(
        "design",
        verdict,
        words.sentence(verdict, len(found), level, _smaller(design, few)),
        because=(
            *_numbers(design, few),
            _reach(level, left),
            *(Fact(each.code, said.says) for each, said in zip(found, told, strict=True)),
            *(Fact("not-said", words.NOT_SAID.format(key=key)) for key in left),
            *_limits(design, missing),
            *(Fact("not-needed", words.NOT_NEEDED.format(key=key)) for key in unneeded),
        ),
        would_change_it=tuple(
            dict.fromkeys((*(said.act for said in told), *(words.SAY_IT.format(key=key) for key in left)))
        ),
        cautions=words.CAUTIONS,
        detail={
            "units": {arm.name: {"listed": len(arm.units), "counted": arm.counted} for arm in design.arms},
            "comparisons": [_comparison(each) for each in counts(design)],
            "sharing_the_level": design.comparisons,
            "level": level,
            "missing": {str(each): list(lacks) for each, lacks in missing.items()},
            "faults": [
                {"code": each.code, "key": each.key, "sentence": said.says, "act": said.act}
                for each, said in zip(found, told, strict=True)
            ],
            "open": list(left),
            "not_needed": list(unneeded),
        },
        identity=hashlib.sha256(json.dumps(dict(sorted(answers.items()))).encode()).hexdigest(),
    )


def _verdict(few: Counts, found: tuple[Fault, ...], left: tuple[str, ...]) -> str:
    if few.fewest < 2:
        return "cannot-show"
    if found:
        return "mend"
    return "cannot-tell" if left else "holds"


def _smaller(design: Design, few: Counts) -> str:
    return few.treated if few.second <= few.first else design.base.name


def _comparison(each: Counts) -> dict:
    testable = each.fewest >= 2
    return {
        "treated": each.treated,
        "units": [each.first, each.second],
        "paired": each.paired,
        "smallest_p": smallest_reachable_p(each.first, each.second, each.paired) if testable else None,
        "detectable_scatters": _scatters(each, LEVEL) if testable else None,
    }


def _scatters(each: Counts, level: float) -> float:
    return detectable(each.first, each.second, each.paired, level, POWER)


def _numbers(design: Design, few: Counts) -> Iterator[Fact]:
    """Units by arm, then what the weakest comparison could give and find."""
    if few.paired:
        says = words.PAIRS.format(arm=few.treated, base=design.base.name)
        yield Fact("units-counted", says, few.fewest)
    for arm in () if few.paired else design.arms:
        yield Fact("units-counted", words.UNITS.format(arm=arm.name, listed=len(arm.units)), arm.counted)
    if few.fewest < 2:
        yield Fact("no-test", words.NO_TEST)
        return
    scatters, together = _scatters(few, LEVEL), design.comparisons
    yield Fact("smallest-chance", words.SMALLEST, smallest_reachable_p(few.first, few.second, few.paired))
    yield Fact("detectable", words.DETECTABLE, scatters)
    if together > 1:
        shared = _scatters(few, LEVEL / together)
        yield Fact("detectable-shared", words.SHARED.format(number=together), shared)
    for each in design.asked_edges:
        if each.scatter:
            found = scatters * each.scatter
            yield Fact("detectable-at", words.AT_EDGE.format(edge=each.edge), found)


def _reach(level: int, left: tuple[str, ...]) -> Fact:
    says = words.REACHES_AT_MOST if left else words.REACHES
    return Fact("reaches", says.format(level=level, words=LEVELS[level]))


def _missing(design: Design, found: tuple[Fault, ...]) -> dict[int, tuple[str, ...]]:
    """What each level of a claim still lacks; those that lack nothing have ()."""
    lacks: dict[int, list[str]] = {level: [] for level in (UNITS_DIFFER, RESEMBLES, CAUSED)}
    if weakest(design).fewest < ENOUGH:
        lacks[UNITS_DIFFER].append("units")
    for each in found:
        if each.code in BREAKS:
            lacks[BREAKS[each.code]].append(each.code)
    if not design.made:
        lacks[CAUSED].append("found")
    missing = {level: tuple(codes) for level, codes in lacks.items()}
    # a higher level stands on the third, but a cause needs no likeness to a standard
    below = missing[UNITS_DIFFER]
    return {
        UNITS_DIFFER: below,
        RESEMBLES: (*below, *missing[RESEMBLES]),
        CAUSED: (*below, *missing[CAUSED]),
        ALL: ("all",),
    }


def _reached(missing: Mapping[int, tuple[str, ...]]) -> int:
    return max((level for level, lacks in missing.items() if not lacks), default=TWO_DIFFER)


def _limits(design: Design, missing: Mapping[int, tuple[str, ...]]) -> Iterator[Fact]:
    told: set[str] = set()
    for level, lacks in missing.items():
        new = [code for code in lacks if code not in told]
        told.update(new)
        if new:
            needs = words.names_of([words.LEVELS_MISSING[code] for code in new])
            says = words.NOT_LEVEL.format(level=level, words=LEVELS[level].rstrip("."), missing=needs)
            yield Fact("not-level", says)
    whole = [each.edge for each in design.asked_edges if each.feature is None]
    limits = {
        "whole-curve": whole and words.WHOLE_CURVE.format(edges=words.names_of(whole)),
        "one-spot": design.spots == 1 and words.ONE_SPOT,
        "one-scan": design.scans == 1 and words.ONE_SCAN,
        "found": not design.made and words.FOUND,
        "one-source": design.one_source and words.ONE_SOURCE,
    }
    yield from (Fact(code, says) for code, says in limits.items() if says)
