"""The day in minutes: which rounds fit, when to eat, when to decide, with the closing check always kept.

What is typed is laid out in a fixed order; which rounds are measured and before which block lunch falls is
chosen by a mixed-integer solver (`choosing`), so that the most valuable rounds fit. A round is one pass over
all specimens of a load at one edge, treated and untreated in turn. The meeting comes when these are measured,
with minutes left for what it chooses. Every load has its own closing check, while it is still in.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from edgeshift.planning.choosing import Block, Chosen, Hours, Program
from edgeshift.planning.holder import loads
from edgeshift.planning.scan_lists import ScanList
from edgeshift.recipe.experiment import Day, EdgePlan, Experiment

MOMENT_MIN = 1e-6


@dataclass(frozen=True)
class Stretch:
    """One stretch of the day, minutes since the shift began; `edge`, `rounds` where it measures."""

    kind: str
    start_min: float
    end_min: float
    edge: str | None = None
    load: int = 1
    rounds: int = 0


class Unmeasured(NamedTuple):
    """A specimen without any scan at these edges; `everywhere` says that they are all that are planned."""

    specimen: str
    unit: str | None
    pair: str | None
    edges: tuple[str, ...]
    everywhere: bool
    load: int


@dataclass(frozen=True)
class Budget:
    """The day laid out. `left_out` are planned rounds that do not fit, by edge.

    `last_load_min` is the latest sensible begin of a second load: later, it would not bring one round (None:
    it is too late already). `choice_short_min` and `end_short_min` are minutes that the group's choice, and
    writing and closing, lack of what was typed. `specimens` says how many are named.
    """

    stretches: tuple[Stretch, ...]
    left_out: Mapping[str, int]
    last_load_min: float | None
    unmeasured: tuple[Unmeasured, ...] = ()
    choice_short_min: float = 0.0
    end_short_min: float = 0.0
    specimens: int = 0

    @property
    def loads(self) -> int:
        """The last load that is in the vacuum on this day."""
        return max(one.load for one in self.stretches)

    @property
    def measures(self) -> bool:
        """Whether any round is measured."""
        return any(one.kind == "measure" for one in self.stretches)


@dataclass(frozen=True)
class Now:
    """Where the day stands: minutes gone, rounds done at each edge, and what is over already."""

    minute: float = 0.0
    done: Mapping[str, int] | None = None
    load: int = 1
    begun: bool = False
    eaten: bool = False
    decided: bool = False


def budget(experiment: Experiment, lists: Sequence[ScanList], now: Now = Now()) -> Budget | None:
    """The day that measures most, from `now` on; None where its closing check does not fit.

    Lunch is left out only where its window cannot be kept any more, the meeting where no time is left for it.
    Where a day that has begun is too short to write and close as typed, these are cut, the check never.
    """
    day = experiment.day
    opening = [] if now.begun else _opening(day)
    begins = now.minute + sum(length for _, length in opening)
    kept = _endings(day, day.lasts_min - begins if now.begun else float("inf"))
    ends = day.lasts_min - sum(length for _, length in kept)
    if begins > ends + MOMENT_MIN or kept[0][1] < day.closing_min:
        return None
    short = sum(length for _, length in _endings(day)) - sum(length for _, length in kept)
    blocks = [] if short else _blocks(experiment, lists, now)
    shortest = min((block.before_min + block.round_min for block in blocks), default=0.0)
    hours = Hours(begins, ends, ends - day.exchange_min - shortest)
    chosen, meeting = _chosen(day, blocks, now, hours)
    stretches = _laid_out(day, _Parts(opening, blocks, chosen, meeting, kept), now)
    choice = sum(one.end_min - one.start_min for one in stretches if one.kind == "choice")
    late = hours.last_load - day.closing_min < begins or short > 0
    return Budget(
        stretches,
        _left_out(_blocks(experiment, lists, now), chosen.rounds),
        None if late else hours.last_load,
        _unmeasured(experiment, blocks, chosen, now),
        max(0.0, day.choice_min - choice) if meeting else 0.0,
        short,
        sum(each.kind == "specimen" for each in experiment.specimens),
    )


def _chosen(day: Day, blocks: Sequence[Block], now: Now, hours: Hours) -> tuple[Chosen, bool]:
    """What the solver chose, and whether the meeting is kept: it goes last, after lunch."""
    eat, meet = day.lunch_min > 0 and not now.eaten, day.decide_min > 0 and not now.decided
    for lunch, meeting in dict.fromkeys(((eat, meet), (False, meet), (False, False))):
        chosen = Program(day, blocks, now.load, hours, lunch, meeting).solved()
        if chosen is not None:
            break
    return chosen, meeting


def _left_out(blocks: Sequence[Block], rounds: Sequence[int]) -> dict[str, int]:
    """Rounds that are planned and not measured, by edge; nobody chose among them where none was measured."""
    found: dict[str, int] = {}
    for block, count in zip(blocks, rounds or [0] * len(blocks), strict=True):
        found[block.edge] = found.get(block.edge, 0) + block.rounds - count
    return {edge: count for edge, count in found.items() if count}


def _unmeasured(
    experiment: Experiment, blocks: Sequence[Block], chosen: Chosen, now: Now
) -> tuple[Unmeasured, ...]:
    """Every specimen that has no scan at a planned edge when the day is over; earlier loads had theirs."""
    units = {unit.name: unit for unit in experiment.units}
    named = {each.name: each for each in experiment.specimens if each.kind == "specimen"}
    edges = tuple(each.edge for each in experiment.edges)
    seen = {(block.edge, block.load) for block, n in zip(blocks, chosen.rounds, strict=True) if n}
    seen |= {(edge, now.load) for edge, rounds in (now.done or {}).items() if rounds}
    found = []
    for load, holder in enumerate(loads(experiment), 1):
        lacks = tuple(edge for edge in edges if load >= now.load and (edge, load) not in seen)
        for name in holder if lacks else ():
            if name in named:
                unit = units.get(named[name].unit or "")
                pair = unit.pair if unit else None
                found.append(Unmeasured(name, unit and unit.name, pair, lacks, lacks == edges, load))
    return tuple(found)


def _opening(day: Day) -> list[tuple[str, float]]:
    return [
        ("arrive", day.arrive_min), ("pump", day.pump_min), ("transfer", day.transfer_min),
        ("find-beam", day.find_beam_min), ("survey", day.survey_min),
    ]  # fmt: skip


def _endings(day: Day, left: float = float("inf")) -> list[tuple[str, float]]:
    """What is kept, whatever comes: where little is left the check first, then closing, then writing."""
    closing = min(day.closing_min, left)
    close = min(day.close_min, left - closing)
    return [("closing", closing), ("write", min(day.write_min, left - closing - close)), ("close", close)]


def _blocks(experiment: Experiment, lists: Sequence[ScanList], now: Now) -> list[Block]:
    """Every load's edges in the order of the text, less the rounds that are done."""
    mounted = {each.name for each in experiment.specimens if each.kind == "specimen"}
    over, holders = experiment.beamline.overheads, loads(experiment)
    found = []
    for load in range(now.load, len(holders) + 1):
        here = len(mounted.intersection(holders[load - 1]))
        for plan, one in zip(experiment.edges, lists, strict=True):
            done = (now.done or {}).get(plan.edge, 0) if load == now.load else 0
            rounds = _planned(experiment, plan) - done
            if here and rounds > 0:
                before = over.edge_change_min + experiment.day.tie_min
                each = here * (over.move_min + one.minutes)
                found.append(Block(one.edge, load, before, each, rounds, plan.role, done))
    return found


def _planned(experiment: Experiment, plan: EdgePlan) -> int:
    wanted = experiment.plan_for(plan.edge)
    return wanted.spots_per_unit * wanted.scans_per_spot


class _Parts(NamedTuple):
    """What a day is laid out from."""

    opening: Sequence[tuple[str, float]]
    blocks: Sequence[Block]
    chosen: Chosen
    meeting: bool
    kept: Sequence[tuple[str, float]]


class _Line:
    """Stretches one after another."""

    def __init__(self, minute: float, load: int) -> None:
        self.clock, self.load = minute, load
        self.stretches: list[Stretch] = []

    def add(self, kind: str, length: float, **more) -> None:
        if length > MOMENT_MIN:
            self.stretches.append(Stretch(kind, self.clock, self.clock + length, load=self.load, **more))
            self.clock += length


def _laid_out(day: Day, parts: _Parts, now: Now) -> tuple[Stretch, ...]:
    """The stretches one after another; what is kept whatever comes stands at the very end."""
    blocks, chosen, line = parts.blocks, parts.chosen, _Line(now.minute, now.load)
    used = {block.load for block, rounds in zip(blocks, chosen.rounds, strict=True) if rounds}
    for kind, length in parts.opening:
        line.add(kind, length)
    for n, block in enumerate(blocks):
        if block.load != line.load and block.load in used:
            _exchange(line, day, block.load, chosen.lunch_load == block.load)
        if chosen.lunch == n:
            line.add("lunch", day.lunch_min)
        if chosen.rounds[n]:
            length = block.before_min + chosen.rounds[n] * block.round_min
            line.add("measure", length, edge=block.edge, rounds=chosen.rounds[n])
    if chosen.lunch == len(blocks):
        line.add("lunch", day.lunch_min)
    if parts.meeting:
        line.add("decide", day.decide_min)
    spare = day.lasts_min - sum(length for _, length in parts.kept) - line.clock
    line.add("choice" if parts.meeting else "spare", spare)
    for kind, length in parts.kept:
        line.add(kind, length)
    return tuple(line.stretches)


def _exchange(line: _Line, day: Day, load: int, eating: bool) -> None:
    """The load that leaves has its closing check first; lunch may lie over the pumping of the next."""
    line.add("closing", day.closing_min)
    line.load = load
    if not eating:
        line.add("exchange", day.exchange_min)
        return
    line.add("remount", day.remount_min)
    line.add("lunch-pump", day.lunch_min)
    line.add("pump", day.pump_min - day.lunch_min)
    line.add("transfer", day.transfer_min)
    line.add("find-beam", day.find_beam_min)
