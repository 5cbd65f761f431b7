"""What is wrong with a design: each fault with the answer that put it there and the numbers it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from edgeshift.numerics.power import detectable
from edgeshift.planning.design import ArmSaid, Design, weakest
from edgeshift.wording.design import group_names, names_of, ways_of
from edgeshift.wording.element_names import element_name
from edgeshift.wording.interview import ASKED

ENOUGH = 3
"""Units in each arm below which no claim about a treatment is carried."""
LEVEL, POWER = 0.05, 0.8
"""A chance in twenty of a false alarm, four in five of finding what is there: common practice, no source."""
BREAKS = {
    "order-confounded": 3,
    "before-after": 3,
    "no-standard": 4,
    "no-blank": 4,
    "no-untreated": 5,
    "chosen-by-hand": 5,
    "steps-apart": 5,
    "no-dried-only": 5,
    "no-control-edge": 5,
    "control-edge-touched": 5,
}
"""The lowest level of a claim that each fault takes away. Too few units take away level 3 by themselves."""


@dataclass(frozen=True)
class Fault:
    """A code, the key of the answer that put it there, and what fills the blanks of its words."""

    code: str
    key: str
    fill: Mapping[str, Any] = field(default_factory=dict)


def faults(design: Design) -> tuple[Fault, ...]:
    """Every fault, those of the units first: nothing later mends them."""
    return (*_units(design), *_arms(design), *_handling(design), *_measuring(design))


def concerns_key(design: Design) -> str:
    """The key of the plain question about the control edge's element."""
    element = design.control_edge.split()[0] if design.control_edge else ""
    return ASKED["concerns"].key.format(element=element)


def open_ends(design: Design) -> tuple[str, ...]:
    """Keys of the questions that nobody answered and behind which a fault may hide."""
    left = []
    for arm in design.arms:
        left += [f"portions in {arm.name}"] if arm.portions is None else []
        left += [f"together in {arm.name}"] if arm.together is None else []
    before_after = design.pairing.same_piece
    asked = {
        "same piece": design.pairing.rows and before_after is None,
        "kept back": before_after and design.pairing.kept_back is None,
        "could swap": design.made and not design.pairing.rows and design.could_swap is None,
        "steps apart": design.steps_apart is None,
        "by the way": design.made and design.by_the_way is None,
        concerns_key(design): bool(design.control_edge) and design.concerns is None,
        "order": design.order is None and not (before_after and design.pairing.kept_back),
    }
    return (*left, *(key for key, nobody in asked.items() if nobody))


def _units(design: Design) -> Iterator[Fault]:
    for arm in design.arms:
        numbers = {"arm": arm.name, "listed": len(arm.units), "counted": arm.counted}
        if arm.portions:
            code = "spots-as-units" if arm.portions_are == "spots" else "portions-as-units"
            yield Fault(code, f"portions in {arm.name}", {**numbers, "who": group_names(arm.portions)})
        if arm.together:
            code = "shared-treatment" if design.made else "one-place"
            who = {"who": group_names(arm.together), "could": _could(arm)}
            yield Fault(code, f"together in {arm.name}", {**numbers, **who})
    listed = min(design.arms, key=lambda arm: len(arm.units))
    if len(listed.units) < ENOUGH:
        code = "one-unit" if len(listed.units) == 1 else "few-units"
        yield Fault(code, f"units of {listed.name}", {"arm": listed.name})
    if design.pairing.rows and design.pairing.uneven:
        left = max(len(arm.units) for arm in design.arms) - len(listed.units)
        yield Fault("unequal-pairs", "some pairs", {"left": left, "whole": len(listed.units)})


def _could(arm: ArmSaid) -> int | None:
    """How many units there would be, were those treated apart that still can be."""
    return None if arm.apart is None else min(len(arm.things), arm.counted + arm.apart)


def _arms(design: Design) -> Iterator[Fault]:
    if design.made and design.control is None:
        yield Fault("no-untreated", "control", {"arms": names_of([arm.name for arm in design.arms])})
    if design.could_swap is False:
        yield Fault("chosen-by-hand", "could swap")
    if design.pairing.same_piece and design.pairing.kept_back is False:
        yield Fault("before-after", "kept back")


def _handling(design: Design) -> Iterator[Fault]:
    if design.steps_apart:
        yield Fault("steps-apart", "steps apart")
    if design.comes_with_it and not _got_only_that(design):
        fill = {"ways": ways_of(design.comes_with_it), "unsaid": design.itself is None}
        yield Fault("no-dried-only", "same by the way", fill)
    if design.order == "arms":
        fill = {"first": design.base.name, "again": design.pairing.same_piece}
        yield Fault("order-confounded", "order", fill)


def _got_only_that(design: Design) -> bool:
    """The only treated arm got more than what comes by the way, whatever was said of it."""
    said = design.same_by_the_way
    return said is not None and (said == design.control or len(design.arms) > 2)


def _measuring(design: Design) -> Iterator[Fault]:
    if not design.control_edge:
        yield Fault("no-control-edge", "control edge")
    elif design.concerns:
        element = element_name(design.control_edge.split()[0])
        yield Fault("control-edge-touched", "control edge", {"edge": design.control_edge, "element": element})
    bare = [each.edge for each in design.asked_edges if each.standard is None]
    if bare:
        yield Fault("no-standard", f"standard of {bare[0]}", {"edges": names_of(bare)})
    if not design.blanks:
        yield Fault("no-blank", "blank")
    yield from _too_few_for_what_matters(design)


def _too_few_for_what_matters(design: Design) -> Iterator[Fault]:
    """Judged kindly: as if this were the only comparison."""
    few = weakest(design)
    if few.fewest < 2:
        return
    scatters = detectable(few.first, few.second, few.paired, LEVEL, POWER)
    for each in design.asked_edges:
        if each.scatter and each.matters and scatters * each.scatter > each.matters:
            found = f"{scatters * each.scatter:.2g}"
            fill = {"edge": each.edge, "found": found, "matters": f"{each.matters:g}"}
            yield Fault("too-few-for-what-matters", f"matters of {each.edge}", fill)
