"""Behind a drawn curtain: an answer told as if nobody knew which arm is the control.

The lot takes the place of the control: whatever went from the control to a treatment goes from the arm that
was drawn first to the other. Order, signs and sentence then say nothing, and one path draws both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from edgeshift.records.answer import Answer
from edgeshift.records.figure import ARM_ROLES
from edgeshift.wording import real as words


def veiled(answer: Answer, order: Sequence[str]) -> Answer:
    """`answer` to "real" with its arms in the `order` of the lot (keys); any other answer as it is.

    The sentence is told anew from the turned numbers. Names are still to be given: draw with `lot_of` and a
    naming by lot.
    """
    detail = answer.detail
    if answer.question != "real" or not detail.get("treated") or not detail.get("control"):
        return answer
    place = {arm: number for number, arm in enumerate(order)}
    first, second = detail["control"], detail["treated"][0]
    turned = place.get(first, len(place)) > place.get(second, len(place))
    told = _sorted(_turned(detail) if turned else dict(detail), place)
    sentence = answer.sentence
    if "treated_arms" in told:
        sentence = words.sentence(answer.verdict, told["rungs"], told)
    return replace(answer, sentence=sentence, detail=told, figure=None)


def lot_of(answer: Answer, order: Sequence[str]) -> tuple[int, ...]:
    """For `curtain_looks`: the place in the lot of each arm of this (veiled) answer, by role."""
    arms = [answer.detail.get("control"), *(answer.detail.get("treated") or ())]
    arms += list((answer.detail.get("curves") or {}).get("others") or ())
    found = [order.index(arm) for arm in dict.fromkeys(arms) if arm in order]
    rest = [place for place in range(len(ARM_ROLES)) if place not in found]
    return tuple((found + rest)[: len(ARM_ROLES)])


def _turned(detail: Mapping[str, Any]) -> dict[str, Any]:
    """Control and treated exchanged: the difference, its shape and its interval change their sign."""
    control, (treated, *others) = detail["control"], detail["treated"]
    told = {**detail, "control": treated, "treated": [control, *others]}
    if detail.get("feature"):
        told["feature"] = _feature(detail["feature"])
    if detail.get("curves"):
        curves = detail["curves"]
        told["curves"] = {
            **curves,
            "control": curves["treated"],
            "treated": curves["control"],
            "difference": _negated(curves["difference"]),
            "shape": _negated(curves["shape"]) if curves.get("shape") else curves.get("shape"),
        }
    return told


def _feature(feature: Mapping[str, Any]) -> dict[str, Any]:
    turned = dict(feature)
    if "control" in feature and "treated" in feature:
        turned |= {"control": feature["treated"], "treated": feature["control"]}
    ends = {"difference": "difference", "low": "high", "high": "low"}
    return turned | {name: _minus(feature[other]) for name, other in ends.items() if other in feature}


def _negated(curve: Mapping[str, Any]) -> dict[str, Any]:
    ends = {"value": "value", "low": "high", "high": "low"}
    return {name: [_minus(one) for one in curve[other]] for name, other in ends.items() if other in curve}


def _minus(value: float | None) -> float | None:
    return None if value is None else 0.0 - value


def _sorted(detail: dict[str, Any], place: Mapping[str, int]) -> dict[str, Any]:
    """Lists and maps by arm in the order of the lot; units keep their order within an arm."""

    def at(arm: str) -> int:
        return place.get(arm, len(place))

    told = dict(detail)
    if told.get("dots"):
        told["dots"] = sorted(told["dots"], key=lambda dot: at(dot["arm"]))
    if told.get("units"):
        told["units"] = {arm: told["units"][arm] for arm in sorted(told["units"], key=at)}
    if (told.get("curves") or {}).get("others"):
        others = told["curves"]["others"]
        told["curves"] = {**told["curves"], "others": {arm: others[arm] for arm in sorted(others, key=at)}}
    told["treated"] = [told["treated"][0], *sorted(told["treated"][1:], key=at)]
    return told
