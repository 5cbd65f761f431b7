"""The desk: where time, randomness and open folders come into an action, and nowhere else."""

from __future__ import annotations

import secrets
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from random import Random
from typing import NamedTuple, TypeVar

from edgeshift.errors import Refusal
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.shift_state import ShiftState, replay

Thing = TypeVar("Thing")


def utc_text(when: datetime) -> str:
    """ISO 8601 in UTC with milliseconds, as every event carries it: 2026-03-01T08:00:00.000Z."""
    return when.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _now() -> str:
    return utc_text(datetime.now(UTC))


def _seed() -> int:
    return secrets.randbelow(2**32)


def by_lot(things: Sequence[Thing], seed: int) -> tuple[Thing, ...]:
    """The things in an order that chance alone gave."""
    return tuple(Random(seed).sample(things, len(things)))


class Loaded(NamedTuple):
    """An open folder, what is known in it, and what does not hold in its text (None: all does).

    With a complaint, the state rests on the last accepted text.
    """

    folder: ExperimentFolder
    state: ShiftState
    complaint: Refusal | None


@dataclass(frozen=True)
class Desk:
    """What an action may ask of the world: the time, a while to pass (s), a seed, and an open folder."""

    now: Callable[[], str] = _now
    seed: Callable[[], int] = _seed
    sleep: Callable[[float], None] = time.sleep
    open: Callable[[str | Path], ExperimentFolder] = ExperimentFolder.open

    def load(self, path: str | Path, until: str | None = None, role: str = "host") -> Loaded:
        """Open the folder, accept what was changed by hand in its text, and replay its book.

        Raises FolderRefused where there is no experiment. A text that does not hold is a complaint, no halt.
        """
        folder = self.open(path)
        complaint = self.accept_hand_edit(folder, role)
        return Loaded(folder, replay(folder.events(), until), complaint)

    def accept_hand_edit(self, folder: ExperimentFolder, role: str = "host") -> Refusal | None:
        """Enter a text that was changed by hand into the book; returns what does not hold in it, or None."""

        def check(text: str, name: str) -> None:
            from edgeshift.actions.new_text import check_text

            check_text(text, folder, replay(folder.events()))

        return folder.accept_hand_edit(self.now(), check, role)


def steady_desk(start: str = "2026-03-01T08:00:00.000Z", step_s: float = 60.0, seed: int = 1) -> Desk:
    """A desk whose clock moves by `step_s` at every look and whose seed stays: for practice and tests."""
    begun, ticks = datetime.fromisoformat(start), count()
    return Desk(now=lambda: utc_text(begun + timedelta(seconds=step_s * next(ticks))), seed=lambda: seed)
