"""Which rounds are measured, which loads come in and when lunch is: a mixed-integer program (HiGHS)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from edgeshift.recipe.experiment import Day

WORTH = {"family": 10.0, "control": 5.0, "outside": 3.0}
"""What a first round at an edge is worth against others, by its role (our choice)."""
KEPT_WORTH, FURTHER_WORTH = 0.3, 0.1
"""What a minute of the group's choice is worth (our choice): all of the first half of what was typed outranks
a round of the family, the second half only what comes after the first rounds."""
LONG_MIN = 1e4
"""More minutes than any day has."""


@dataclass(frozen=True)
class Block:
    """What may be measured at one edge with one load: rounds, and what comes before the first.

    `done` are rounds that were measured before.
    """

    edge: str
    load: int
    before_min: float
    round_min: float
    rounds: int
    role: str
    done: int = 0


class Hours(NamedTuple):
    """When measuring may begin and must end, and when a second load must begin, minutes of the shift."""

    begins: float
    ends: float
    last_load: float


@dataclass(frozen=True)
class Chosen:
    """Rounds of each block, and where lunch is: before a block (their number: after the last), or while the
    load of that number is pumped."""

    rounds: tuple[int, ...]
    lunch: int | None = None
    lunch_load: int | None = None


class Program:
    """The mixed-integer program. Variables of 0 or 1: a round is measured, a further load comes in, lunch
    falls before a block or while a load is pumped. Two more are minutes of the group's choice."""

    def __init__(
        self, day: Day, blocks: Sequence[Block], load: int, hours: Hours, lunch: bool, meeting: bool
    ) -> None:
        self.day, self.blocks, self.hours, self.meeting = day, blocks, hours, meeting
        self.loads = sorted({block.load for block in blocks} - {load})
        self.first = np.concatenate(([0], np.cumsum([block.rounds for block in blocks]))).astype(int)
        self.places = len(blocks) + 1
        begin = int(self.first[-1])
        self.load_at = {each: begin + n for n, each in enumerate(self.loads)}
        begin += len(self.loads)
        self.lunch_at = range(begin, begin + (self.places if lunch else 0))
        begin = self.lunch_at.stop
        self.over_at = {each: begin + n for n, each in enumerate(self.loads if lunch else ())}
        self.choice_at = begin + len(self.over_at)
        self.size = self.choice_at + 2
        self.rows: list[tuple[np.ndarray, float, float]] = []

    def solved(self) -> Chosen | None:
        """The rounds, loads and lunch that are worth most; None where lunch or meeting cannot be kept."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        self._rounds_follow()
        self._controls_follow()
        if self.lunch_at:
            self._hold(dict.fromkeys([*self.lunch_at, *self.over_at.values()], 1.0), 1.0, 1.0)
        self._in_time()
        rows, least, most = zip(*self.rows, strict=True)
        upper, whole = np.ones(self.size), np.ones(self.size)
        upper[self.choice_at :], whole[self.choice_at :] = self._choice_min() / 2, 0
        found = milp(
            -self._value(), constraints=LinearConstraint(np.array(rows), least, most),
            integrality=whole, bounds=Bounds(0, upper),
        )  # fmt: skip
        return self._chosen(np.round(found.x).astype(int)) if found.success else None

    def _chosen(self, taken: np.ndarray) -> Chosen:
        ends = zip(self.first, self.first[1:], strict=False)
        rounds = tuple(int(taken[start:stop].sum()) for start, stop in ends)
        over = next((load for load, at in self.over_at.items() if taken[at]), None)
        if over is not None or not self.lunch_at:
            return Chosen(rounds, lunch_load=over)
        return Chosen(rounds, int(np.argmax(taken[self.lunch_at.start : self.lunch_at.stop])))

    def _choice_min(self) -> float:
        return self.day.choice_min if self.meeting else 0.0

    def _hold(self, entries: Mapping[int, float], least: float, most: float) -> None:
        row = np.zeros(self.size)
        for place, entry in entries.items():
            row[place] = entry
        self.rows.append((row, least, most))

    def _value(self) -> np.ndarray:
        """A second round is worth a third of the first, a third a sixth; a load without a round is worth less
        than none."""
        value = np.zeros(self.size)
        for start, block in zip(self.first, self.blocks, strict=False):
            count = np.arange(block.rounds)
            value[start : start + block.rounds] = WORTH[block.role] * 2 / ((count + 1) * (count + 2))
        for at in self.load_at.values():
            value[at] = -1e-3
        value[self.choice_at :] = KEPT_WORTH, FURTHER_WORTH
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
        for load, at in self.over_at.items():
            self._hold({at: 1.0, self.load_at[load]: -1.0}, -np.inf, 0.0)

    def _controls_follow(self) -> None:
        """Past the first round no other edge gets more rounds than an edge of the family: that is asked."""
        placed = list(zip(self.first, self.blocks, strict=False))
        for start, block in placed:
            for at, family in placed:
                if block.role == "family" or family.role != "family" or family.load != block.load:
                    continue
                for n in range(max(0, 1 - block.done), block.rounds):
                    wanted = block.done + n - family.done
                    if 0 <= wanted < family.rounds:
                        self._hold({start + n: 1.0, at + wanted: -1.0}, -np.inf, 0.0)

    def _in_time(self) -> None:
        """All before the end, every further load before its latest begin, lunch inside its window."""
        begins, ends, last_load = self.hours
        day, whole = self.day, self._before(len(self.blocks))
        whole[self.choice_at :] = 1.0
        self.rows.append((whole, -np.inf, ends - begins - (day.decide_min if self.meeting else 0.0)))
        for load, at in self.load_at.items():
            row = self._before(self._first_of(load))
            row[at] += LONG_MIN - day.exchange_min
            if load in self.over_at:
                row[self.over_at[load]] -= self._beyond_pumping()
            self.rows.append((row, -np.inf, last_load - begins + LONG_MIN))
        for place, pick in enumerate(self.lunch_at):
            row = self._before(place)
            row[pick] -= day.lunch_min
            self._lunch_in_window(pick, row)
        for load, pick in self.over_at.items():
            row = self._before(self._first_of(load))
            row[pick] -= day.exchange_min - day.remount_min + self._beyond_pumping()
            self._lunch_in_window(pick, row)

    def _lunch_in_window(self, pick: int, starts: np.ndarray) -> None:
        """Where this lunch is picked, it starts (as a row) inside its window."""
        early, late = starts.copy(), starts.copy()
        early[pick] -= LONG_MIN
        late[pick] += LONG_MIN
        begins = self.hours.begins
        self.rows.append((early, self.day.lunch_from_min - begins - LONG_MIN, np.inf))
        self.rows.append((late, -np.inf, self.day.lunch_to_min - begins + LONG_MIN))

    def _first_of(self, load: int) -> int:
        return next(n for n, block in enumerate(self.blocks) if block.load == load)

    def _beyond_pumping(self) -> float:
        """What lunch takes longer than the pumping that it lies over, minutes."""
        return max(0.0, self.day.lunch_min - self.day.pump_min)

    def _before(self, place: int) -> np.ndarray:
        """Minutes from the begin until the block at this place begins, as a row: everything before it. A
        further load comes in after a closing check of the one that leaves."""
        row = np.zeros(self.size)
        for start, block in zip(self.first[:place], self.blocks[:place], strict=False):
            row[start : start + block.rounds] = block.round_min
            row[start] += block.before_min
        here = self.blocks[min(place, len(self.blocks) - 1)].load if self.blocks else 0
        for load, at in self.load_at.items():
            row[at] = self.day.closing_min + self.day.exchange_min if load <= here else 0.0
        for load, at in self.over_at.items():
            row[at] = self._beyond_pumping() if load <= here else 0.0
        row[self.lunch_at.start : min(self.lunch_at.start + place + 1, self.lunch_at.stop)] = (
            self.day.lunch_min
        )
        return row
