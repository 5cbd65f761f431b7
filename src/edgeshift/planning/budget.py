"""The day in minutes: which rounds fit, when to eat, when to decide, with the closing check always kept.

What is typed is laid out in a fixed order; which rounds are measured and before which block lunch and the
decision meeting fall is chosen by a mixed-integer solver (HiGHS, through scipy), so that the most valuable
rounds fit. A round is one pass over all specimens of a load at one edge, treated and untreated in turn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from edgeshift.planning.holder import loads
from edgeshift.planning.scan_lists import ScanList
from edgeshift.recipe.experiment import Day, EdgePlan, Experiment

WORTH = {"family": 10.0, "control": 5.0, "outside": 3.0}
"""What a first round at an edge is worth against others, by its role (our choice)."""
MOMENT_MIN = 1e-6
LONG_MIN = 1e4
"""More minutes than any day has."""


@dataclass(frozen=True)
class Stretch:
    """One stretch of the day, minutes since the shift began; `edge`, `load`, `rounds` where it measures."""

    kind: str
    start_min: float
    end_min: float
    edge: str | None = None
    load: int = 1
    rounds: int = 0


@dataclass(frozen=True)
class Budget:
    """The day laid out. `left_out` are planned rounds that do not fit, by edge.

    `last_load_min` is the latest sensible begin of a second load: later, it would not bring one round.
    """

    stretches: tuple[Stretch, ...]
    left_out: Mapping[str, int]
    last_load_min: float


@dataclass(frozen=True)
class Now:
    """Where the day stands: minutes gone, rounds done at each edge, and what is over already."""

    minute: float = 0.0
    done: Mapping[str, int] | None = None
    load: int = 1
    begun: bool = False
    eaten: bool = False
    decided: bool = False


@dataclass(frozen=True)
class _Block:
    """What may be measured at one edge with one load: rounds, and what comes before the first."""

    edge: str
    load: int
    before_min: float
    round_min: float
    rounds: int
    worth: float


def budget(experiment: Experiment, lists: Sequence[ScanList], now: Now = Now()) -> Budget | None:
    """The day that measures most, from `now` on; None where not even closing check and writing fit.

    Lunch is left out only where its window cannot be kept any more, the meeting where no time is left for it.
    """
    day = experiment.day
    opening = [] if now.begun else _opening(day)
    begins = now.minute + sum(length for _, length in opening)
    ends = day.lasts_min - sum(length for _, length in _endings(day))
    if begins > ends:
        return None
    blocks = _blocks(experiment, lists, now)
    shortest = min((block.before_min + block.round_min for block in blocks), default=0.0)
    hours = _Hours(begins, ends, ends - day.exchange_min - shortest)
    for eaten, decided in ((now.eaten, now.decided), (True, now.decided), (True, True)):
        chosen = _Program(day, blocks, replace(now, eaten=eaten, decided=decided), hours).solved()
        if chosen is not None:
            break
    stretches = _laid_out(day, opening, blocks, chosen, now)
    left_out: dict[str, int] = {}
    for block, rounds in zip(blocks, chosen.rounds, strict=True):
        left_out[block.edge] = left_out.get(block.edge, 0) + block.rounds - rounds
    return Budget(stretches, {edge: n for edge, n in left_out.items() if n}, hours.last_load)


class _Hours(NamedTuple):
    """When measuring may begin and must end, and when a second load must begin, minutes of the shift."""

    begins: float
    ends: float
    last_load: float


@dataclass(frozen=True)
class _Chosen:
    """Rounds of each block, and the block before which each pause falls (their number: after the last)."""

    rounds: tuple[int, ...]
    lunch: int | None
    meeting: int | None


def _opening(day: Day) -> list[tuple[str, float]]:
    return [
        ("arrive", day.arrive_min), ("pump", day.pump_min), ("transfer", day.transfer_min),
        ("find-beam", day.find_beam_min), ("survey", day.survey_min),
    ]  # fmt: skip


def _endings(day: Day) -> list[tuple[str, float]]:
    """What is kept, whatever comes."""
    return [("closing", day.closing_min), ("write", day.write_min), ("close", day.close_min)]


def _blocks(experiment: Experiment, lists: Sequence[ScanList], now: Now) -> list[_Block]:
    """Every load's edges in the order of the text, less the rounds that are done."""
    mounted = {each.name for each in experiment.specimens if each.kind == "specimen"}
    over, holders = experiment.beamline.overheads, loads(experiment)
    found = []
    for load in range(now.load, len(holders) + 1):
        here = len(mounted.intersection(holders[load - 1]))
        for plan, one in zip(experiment.edges, lists, strict=True):
            rounds = _planned(experiment, plan)
            rounds -= (now.done or {}).get(plan.edge, 0) if load == now.load else 0
            if here and rounds > 0:
                before = over.edge_change_min + experiment.day.tie_min
                each = here * (over.move_min + one.minutes)
                found.append(_Block(one.edge, load, before, each, rounds, WORTH[plan.role]))
    return found


def _planned(experiment: Experiment, plan: EdgePlan) -> int:
    wanted = experiment.plan_for(plan.edge)
    return wanted.spots_per_unit * wanted.scans_per_spot


class _Program:
    """The mixed-integer program. Every variable is 0 or 1: a round is measured, a further load comes in,
    lunch or the meeting falls before a block (one more place stands after the last)."""

    def __init__(self, day: Day, blocks: Sequence[_Block], now: Now, hours: _Hours) -> None:
        self.day, self.blocks, self.hours = day, blocks, hours
        self.loads = sorted({block.load for block in blocks} - {now.load})
        self.pauses = {
            name: length
            for name, length, over in (
                ("lunch", day.lunch_min, now.eaten),
                ("meeting", day.decide_min, now.decided),
            )
            if length > 0 and not over
        }
        self.first = np.concatenate(([0], np.cumsum([block.rounds for block in blocks]))).astype(int)
        self.places = len(blocks) + 1
        begin = int(self.first[-1])
        self.load_at = {load: begin + n for n, load in enumerate(self.loads)}
        begin += len(self.loads)
        self.pause_at = {name: begin + n * self.places for n, name in enumerate(self.pauses)}
        self.size = begin + len(self.pauses) * self.places
        self.rows: list[tuple[np.ndarray, float, float]] = []

    def solved(self) -> _Chosen | None:
        """The rounds, loads and pauses that are worth most; None where the pauses cannot be kept."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        if self.size == 0:
            return _Chosen((), None, None)
        self._rounds_follow()
        self._pauses_once()
        self._in_time()
        rows, least, most = zip(*self.rows, strict=True)
        found = milp(
            -self._value(), constraints=LinearConstraint(np.array(rows), least, most),
            integrality=np.ones(self.size), bounds=Bounds(0, 1),
        )  # fmt: skip
        if not found.success:
            return None
        taken = np.round(found.x).astype(int)
        ends = zip(self.first, self.first[1:], strict=False)
        where = {n: int(np.argmax(taken[at : at + self.places])) for n, at in self.pause_at.items()}
        rounds = tuple(int(taken[start:stop].sum()) for start, stop in ends)
        return _Chosen(rounds, where.get("lunch"), where.get("meeting"))

    def _hold(self, entries: Mapping[int, float], least: float, most: float) -> None:
        row = np.zeros(self.size)
        for place, entry in entries.items():
            row[place] = entry
        self.rows.append((row, least, most))

    def _value(self) -> np.ndarray:
        """A second round is worth a third of the first, a third a sixth; the meeting is better late, yet with
        a block still to choose for; a load without a round is worth less than none."""
        value = np.zeros(self.size)
        for start, block in zip(self.first, self.blocks, strict=False):
            count = np.arange(block.rounds)
            value[start : start + block.rounds] = block.worth * 2 / ((count + 1) * (count + 2))
        for at in self.load_at.values():
            value[at] = -1e-3
        if "meeting" in self.pause_at:
            at = self.pause_at["meeting"]
            value[at : at + self.places] = 1e-3 * np.minimum(np.arange(self.places), self.places - 2)
        return value

    def _rounds_follow(self) -> None:
        """A round comes after the one before it, a load's rounds after the load, loads one after another."""
        for start, block in zip(self.first, self.blocks, strict=False):
            for place in range(start + 1, start + block.rounds):
                self._hold({place: 1.0, place - 1: -1.0}, -np.inf, 0.0)
            if block.load in self.load_at:
                self._hold({start: 1.0, self.load_at[block.load]: -1.0}, -np.inf, 0.0)
        for one, after in pairwise(self.loads):
            self._hold({self.load_at[after]: 1.0, self.load_at[one]: -1.0}, -np.inf, 0.0)

    def _pauses_once(self) -> None:
        for at in self.pause_at.values():
            self._hold(dict.fromkeys(range(at, at + self.places), 1.0), 1.0, 1.0)

    def _in_time(self) -> None:
        """All before the end, every further load before its latest begin, lunch inside its window."""
        begins, ends, last_load = self.hours
        self.rows.append((self._before(len(self.blocks)), -np.inf, ends - begins))
        for load, at in self.load_at.items():
            place = next(n for n, block in enumerate(self.blocks) if block.load == load)
            row = self._before(place)
            row[at] += LONG_MIN - self.day.exchange_min
            self.rows.append((row, -np.inf, last_load - begins + LONG_MIN))
        for place in range(self.places if "lunch" in self.pauses else 0):
            pick = self.pause_at["lunch"] + place
            early, late = self._before(place), self._before(place)
            early[pick] -= self.pauses["lunch"] + LONG_MIN
            late[pick] += LONG_MIN - self.pauses["lunch"]
            self.rows.append((early, self.day.lunch_from_min - begins - LONG_MIN, np.inf))
            self.rows.append((late, -np.inf, self.day.lunch_to_min - begins + LONG_MIN))

    def _before(self, place: int) -> np.ndarray:
        """Minutes from the begin until the block at this place begins, as a row: everything before it."""
        row = np.zeros(self.size)
        for start, block in zip(self.first[:place], self.blocks[:place], strict=False):
            row[start : start + block.rounds] = block.round_min
            row[start] += block.before_min
        here = self.blocks[min(place, len(self.blocks) - 1)].load if self.blocks else 0
        for load, at in self.load_at.items():
            row[at] = self.day.exchange_min if load <= here else 0.0
        for name, length in self.pauses.items():
            row[self.pause_at[name] : self.pause_at[name] + place + 1] = length
        return row


def _laid_out(
    day: Day, opening: Sequence[tuple[str, float]], blocks: Sequence[_Block], chosen: _Chosen, now: Now
) -> tuple[Stretch, ...]:
    """The stretches one after another; what is kept whatever comes stands at the very end."""
    found: list[Stretch] = []
    clock, load = now.minute, now.load

    def add(kind: str, length: float, **more) -> None:
        nonlocal clock
        if length > 0:
            found.append(Stretch(kind, clock, clock + length, **more))
            clock += length

    pauses = (("decide", chosen.meeting, day.decide_min), ("lunch", chosen.lunch, day.lunch_min))
    used = {block.load for block, rounds in zip(blocks, chosen.rounds, strict=True) if rounds}
    for kind, length in opening:
        add(kind, length)
    for n in range(len(blocks) + 1):
        block = blocks[n] if n < len(blocks) else None
        if block and block.load != load and block.load in used:
            add("exchange", day.exchange_min, load=block.load)
            load = block.load
        for kind, place, length in pauses:
            if place == n:
                add(kind, length)
        if block and chosen.rounds[n]:
            length = block.before_min + chosen.rounds[n] * block.round_min
            add("measure", length, edge=block.edge, load=block.load, rounds=chosen.rounds[n])
    kept = _endings(day)
    spare = day.lasts_min - sum(length for _, length in kept) - clock
    add("spare", spare if spare > MOMENT_MIN else 0.0)
    for kind, length in kept:
        add(kind, length)
    return tuple(found)
