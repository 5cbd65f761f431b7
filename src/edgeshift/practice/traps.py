"""The seam for what may go wrong on the day: planted troubles with known truth. None is planted here yet."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from edgeshift.practice.instrument import Reading
from edgeshift.practice.schedule import PlannedScan

if TYPE_CHECKING:
    from edgeshift.practice.day import RawFile


class Trap:
    """One trouble. A trap overrides the moment at which it strikes and leaves the other two as they are.

    Each gets a generator of its own, so that planting one leaves every other number of the day alone.
    """

    def plan(self, scans: tuple[PlannedScan, ...], rng: np.random.Generator) -> tuple[PlannedScan, ...]:
        """The scans of the day, before any is measured."""
        return scans

    def reading(self, reading: Reading, rng: np.random.Generator) -> Reading:
        """One scan's readings, before they are written."""
        return reading

    def files(self, files: tuple[RawFile, ...], rng: np.random.Generator) -> tuple[RawFile, ...]:
        """The files of the day, before they land."""
        return files
