"""Every edge that a scan could show, looked for where the tables allow it: pairs first, then steps.

What is found hides what lies beneath it, so the rest is looked for again with those lines left out and
those steps allowed for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from edgeshift.numerics.edge_search import SHARP_EV, SLOW_EV, Found, Height, Sought, plain_step, search
from edgeshift.questions.here.material import Material, beam_at
from edgeshift.tables.edge_kinds import Kind, families_in, kind_of, rise_reach
from edgeshift.tables.edges import EdgeFamily, split_ev

State = Literal["found", "alone", "slow", "nothing", "hidden"]
PARTNER, VALLEY = 2.5, 2.5
"""A partner line, whose place is known, and the valley before it count from so many standard errors on."""
CLEAR, NEARLY, SECOND_SHARE = 5.0, 0.8, 0.25
"""A pair is clear of every step from so many standard errors on; a step that explains a weaker one this
nearly is its rival; the second step of a pair is half the first, so at least this share (practice)."""
LEAST_SHARE, MOST_SHARE = 1.0 / 3.0, 3.0
"""The partner is taken to be a third of the first line at least, where a limit is stated (common practice:
the two lines of a pair are of one size, no source)."""
OWN_BELOW_EV, OWN_ABOVE_EV, STRUCTURE_EV = 2.0, 4.0, 12.0
"""Lines of a known edge reach so far to both sides, and the structure above its step so far."""
NEAREST_EV = 1.5
"""Nearer than this to its line a tail is not a tail."""
PAD_EV, PAD_SHARE, PAD_STEPS = 12.0, 0.002, 10.0
CLEAN_EV, CLEAR_OF_LINES_EV = 12.0, 6.0
"""The step of a K edge is read so far above its rise, that of a pair so far above its second line: clear of
white lines (common practice, no source)."""
TALL = 20.0
"""Where no smooth background comes nearer than so many times the noise, an edge stands high above it: then
its structure is no noise to judge its step by (practice, no source)."""
LEFT, CLEARLY = 2.5, 0.97
"""A rise is called slow only where a slow one leaves no more than so many times the noise, and no more than
this share of what a sharp one leaves."""
WIDE_EV, WIDE_SPLIT_EV = 3.5, 8.0
"""A line of several that run together is so wide; it is sought only in pairs farther apart than that."""
LEAST_GROUND = 0.1
"""A reading below the edge that is less than this share of the curve's whole height is no unit to count in:
a transmitted beam's logarithm, or a curve whose ground was taken away."""
BELOW_EV = 2.0
"""A scan must begin at least so far below an edge to show that something begins there."""
MOST_LEFT_OUT = 0.5
"""An edge of which more than this share of the window is another's is hidden."""


@dataclass(frozen=True)
class Evidence:
    """What one scan says of one edge or pair. `found` is None where it is hidden, by the edges in `behind`.

    `state` found: all that it needs stands there. alone: a first line without its partner, or its partner
    lies beyond the scan (`beyond`). slow: a rise too slow for an edge. nothing: no more than noise and
    background. `level` is the curve's reading below the edge, the unit of every amount.
    """

    family: EdgeFamily
    kind: Kind
    scan: str
    state: State
    found: Found | None
    level: float
    beyond: bool = False
    behind: tuple[str, ...] = ()
    by_height: bool = False
    step: Height | None = None
    total: Height | None = None
    rivals: tuple[str, ...] = ()

    @property
    def amount(self) -> Height:
        """What stands there: the first line's height, or the step's."""
        return self.step or Height(self.found.amounts[0], self.found.sigmas[0])

    @property
    def last_ev(self) -> float:
        """Where its last line or step stands."""
        return self.found.at_ev + (self.found.split_ev or split_ev(self.family.name))


def searched(one: Material, others: Iterable[Material], asked: float) -> list[Evidence]:
    """The evidence of one scan for every family in its range.

    `others` are the shift's other scans, for what their I0 knows; `asked` is the critical strength.
    """
    beams = [beam for beam in others if beam.beam is not None][:3]
    here = [f for low, high in one.stretches for f in families_in(low, high) if _covers(f, (low, high))]
    here = list({family.name: family for family in here}.values())
    pairs = [_looked(one, beams, f, [], asked) for f in here if kind_of(f) == "lines"]
    known = _unlike([each for each in pairs if each.state == "found" and not each.beyond])
    known = [e for e in known if _is_clear(e) or not _is_step_as_well(one, beams, here, e, known, asked)]
    steps = [_looked(one, beams, f, known, asked) for f in here if kind_of(f) == "step"]
    steps = [_beside_rivals(each, pairs) for each in steps]
    known += _unlike([each for each in steps if each.state == "found" and not each.beyond])
    told = {each.family.name for each in known}
    rest = [_looked(one, beams, f, known, asked) for f in here if f.name not in told]
    doubted = _unlike([each for each in rest if each.state in ("alone", "slow") and each.kind != "slow"])
    sure = {each.family.name for each in doubted}
    again = [
        _looked(one, beams, e.family, [*known, *doubted], asked) for e in rest if e.family.name not in sure
    ]
    return [*known, *doubted, *(again if doubted else rest)]


def _is_clear(pair: Evidence) -> bool:
    """Whether both lines and the valley between them stand out so well that no step can pass for them."""
    ratios = [a / s for a, s in zip(pair.found.amounts, pair.found.sigmas, strict=True)]
    return min(*ratios, pair.found.valley) > CLEAR


def _is_step_as_well(
    one: Material, beams: list[Material], here: list[EdgeFamily], pair: Evidence, known: list, asked: float
) -> bool:
    """Whether some element's step explains the stretch of a weak pair nearly as well."""
    others = [each for each in known if each is not pair]
    for family in here:
        low, high = rise_reach(family)
        if kind_of(family) == "step" and low <= pair.found.at_ev <= high + OWN_ABOVE_EV:
            step = _looked(one, beams, family, others, asked)
            if step.state == "found" and step.found.strength > NEARLY * pair.found.strength:
                return True
    return False


def _beside_rivals(each: Evidence, pairs: list[Evidence]) -> Evidence:
    """A step with the pairs of lines that stand out as much and stand in the same stretch."""
    if each.state != "found":
        return each
    low, high = each.found.at_ev - OWN_BELOW_EV, each.found.at_ev + STRUCTURE_EV
    rivals = (
        pair.family.name
        for pair in pairs
        if pair.state == "alone"
        and low < pair.found.at_ev < high
        and pair.found.strength > each.found.strength
    )
    return replace(each, rivals=tuple(rivals))


def _unlike(found: list[Evidence]) -> list[Evidence]:
    """The best first; another one that leans on the same lines is left for a second look."""
    kept: list[Evidence] = []
    for each in sorted(found, key=_best_explained):
        if not any(_shares_lines(each, other) for other in kept):
            kept.append(each)
    return kept


def _best_explained(each: Evidence) -> tuple[float, float]:
    """Pairs by their strength; steps first by what they leave unexplained: one may borrow another's rise."""
    return (0.0, -each.found.strength) if each.kind == "lines" else (each.found.left, -each.found.strength)


def _shares_lines(one: Evidence, other: Evidence) -> bool:
    low, high = _own(other)
    return other.family.element != one.family.element and low < one.found.at_ev < high


def _own(each: Evidence) -> tuple[float, float]:
    """The stretch that belongs to a known edge."""
    reach = OWN_ABOVE_EV if each.kind == "lines" else STRUCTURE_EV
    return each.found.at_ev - OWN_BELOW_EV - each.found.width_ev, each.last_ev + reach


def _covers(family: EdgeFamily, stretch: tuple[float, float]) -> bool:
    first = family.edges[0]
    return stretch[0] <= first.low_ev - BELOW_EV and stretch[1] >= first.high_ev + OWN_ABOVE_EV


def _looked(
    one: Material, beams: list[Material], family: EdgeFamily, known: list[Evidence], asked: float
) -> Evidence:
    kind, first, last = kind_of(family), family.edges[0], family.edges[-1]
    low, high = first.line_reach if kind == "lines" else rise_reach(family)
    stretch = one.stretch_around(first.low_ev)
    pad = max(PAD_EV, PAD_SHARE * first.low_ev, PAD_STEPS * one.step_ev)
    end = last.line_reach[1] + pad
    inside = (one.energy_ev >= max(low - pad, stretch[0])) & (one.energy_ev <= min(end, stretch[1]))
    others = [each for each in known if each.family.name != family.name]
    free, behind = _left(one.energy_ev, inside, others, (low, min(high, stretch[1])))
    at = one.energy_ev[free]
    beyond = len(family.edges) > 1 and stretch[1] < last.low_ev + OWN_ABOVE_EV
    if behind or at.size < 12:
        return Evidence(family, kind, one.key, "hidden", None, 1.0, beyond, behind)
    level, by_height = _unit(one.value[free])
    if not level > 0:
        return Evidence(family, kind, one.key, "hidden", None, 1.0, beyond, ())
    value, marks = one.value[free] / level, _marks(one, free, beams, others)
    pairs = kind == "lines" and not beyond
    found = _pair(one, at, value, marks, family) if pairs else _step(one, at, value, marks, (low, high))
    if found is None:
        return Evidence(family, kind, one.key, "hidden", None, level, beyond, ())
    above_ev = found.split_ev + CLEAR_OF_LINES_EV if pairs else CLEAN_EV
    total = plain_step(at, value, marks, found.at_ev, above_ev)
    step = None if pairs else total
    if step is not None and step.amount <= 0:
        step = None
    state = _state(found, step, kind, pairs, asked)
    if state == "found" and kind == "step" and len(family.edges) > 1 and not beyond:
        state = "found" if _second_step(at, value, marks, found, family) else "alone"
    return Evidence(family, kind, one.key, state, found, level, beyond, (), by_height, step, total)


def _unit(value: np.ndarray) -> tuple[float, bool]:
    """What amounts are counted in, and whether it is the curve's height for want of a ground."""
    ground, height = float(np.median(value[: max(4, value.size // 8)])), float(np.ptp(value))
    return (ground, False) if ground > LEAST_GROUND * height else (height, True)


def _second_step(at: np.ndarray, value: np.ndarray, marks: np.ndarray, found: Found, family) -> bool:
    """Whether the partner's step stands where the first one asks for it."""
    place = found.at_ev + split_ev(family.name)
    first = (at > found.at_ev).astype(float)
    sought = Sought(place + np.linspace(-1.5, 1.5, 5), (), SHARP_EV)
    second = search(at, value, np.vstack([marks, first]), sought)
    least = max(CLEAR * second.sigmas[0], SECOND_SHARE * found.amounts[0]) if second else 0.0
    return second is not None and second.amounts[0] > least


def _state(found: Found, step: Height | None, kind: Kind, pairs: bool, asked: float) -> State:
    ratios = [amount / sigma for amount, sigma in zip(found.amounts, found.sigmas, strict=True)]
    if not pairs and step is not None and found.misfit > TALL and step.amount > asked * step.sigma:
        return "slow" if kind == "slow" else "found"
    if found.strength < asked or found.amounts[0] <= 0:
        return "nothing"
    if not pairs:
        if found.width_ev >= SLOW_EV or kind == "slow":
            return "slow"
        stepped = ratios[0] > PARTNER or (step is not None and step.amount > PARTNER * step.sigma)
        return "found" if stepped else "alone"
    whole = min(ratios) > PARTNER and found.valley > VALLEY
    return "found" if whole else "alone"


def _pair(one: Material, at: np.ndarray, value: np.ndarray, marks: np.ndarray, family: EdgeFamily):
    split, step = split_ev(family.name), one.step_ev
    slack = min(max(0.2 * split, 0.6, 0.5 * step), 1.5)
    places = np.arange(*family.edges[0].line_reach, max(0.25, 0.5 * step))
    widths = (max(0.8, 1.3 * step), max(1.6, 2.2 * step), *((WIDE_EV,) if split > WIDE_SPLIT_EV else ()))
    sought = Sought(places, tuple(split + np.linspace(-slack, slack, 5)), widths)
    return search(at, value, marks, sought, one.alike)


def _step(one: Material, at: np.ndarray, value: np.ndarray, marks: np.ndarray, reach: tuple[float, float]):
    """A sharp rise, or a slow one where that alone explains the curve better and to its noise."""
    places = np.arange(*reach, max(0.5, 0.5 * one.step_ev))
    widths = (SHARP_EV, (SLOW_EV,))
    sharp, slow = (search(at, value, marks, Sought(places, (), w), one.alike) for w in widths)
    if sharp is None or slow is None:
        return sharp
    return slow if slow.left < min(LEFT, CLEARLY * sharp.left) else sharp


def _left(
    at: np.ndarray, inside: np.ndarray, known: list[Evidence], reach: tuple[float, float]
) -> tuple[np.ndarray, tuple[str, ...]]:
    """Points (points,) that no known edge owns, and which ones hide the place that matters."""
    free, window = inside.copy(), inside & (at >= reach[0]) & (at <= reach[1])
    hiding = []
    for each in known:
        low, high = _own(each)
        own = (at >= low) & (at <= high)
        if np.count_nonzero(own & window) > MOST_LEFT_OUT * max(np.count_nonzero(window), 1):
            hiding.append(each.family.name)
        free &= ~own
    return free, tuple(hiding)


def _marks(one: Material, free: np.ndarray, beams: list[Material], known: list[Evidence]) -> np.ndarray:
    """Shapes that may be there (marks, points): the beam's, as this scan's and other scans' I0 know it, and
    the steps of known edges with the tails of their lines, which fall as the square of the distance."""
    at = one.energy_ev[free]
    rows = [] if one.beam is None else [one.beam[free] / one.beam[free].mean() - 1.0]
    theirs = [beam for beam in (beam_at(each, at) for each in beams if each is not one) if beam is not None]
    if theirs:
        rows.append(np.mean(theirs, axis=0))
    for each in known:
        if at[0] < each.found.at_ev < at[-1]:
            rows.append((at > each.found.at_ev).astype(float))
        if each.kind == "lines":
            near = np.minimum(np.abs(at - each.found.at_ev), np.abs(at - each.last_ev))
            rows.append(1.0 / np.maximum(near, NEAREST_EV) ** 2)
    return np.array(rows).reshape(len(rows), at.size)


def by_family(found: Iterable[Evidence]) -> Mapping[str, list[Evidence]]:
    """The evidence of many scans by the name of its family."""
    groups: dict[str, list[Evidence]] = {}
    for each in found:
        groups.setdefault(each.family.name, []).append(each)
    return groups
