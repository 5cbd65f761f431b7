"""A scan across a specimen, and where the beam is now, entered into the book."""

from __future__ import annotations

import math
from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter, known_specimen
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.shift_state import ShiftState

MOST_PHOSPHOR_MM = 20.0


def position(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    specimen: str,
    scan: tuple[str, bytes],
    at_mm: float,
    phosphor_mm: float = 0.0,
) -> Event:
    """A scan across `specimen` (name and bytes of a file: mm, signal) with the beam now at `at_mm`.

    `phosphor_mm` is how far a phosphor stood proud of the specimens when the beam was found on it. Raises
    UnreadableFile for a file that is no such table.
    """
    from edgeshift.formats.text import read

    columns = read(*scan)[0].columns

    def payload(state: ShiftState) -> dict[str, Any]:
        known_specimen(state, specimen)
        if not (math.isfinite(at_mm) and abs(phosphor_mm) <= MOST_PHOSPHOR_MM):
            needed = f"mm, and a phosphor at most {MOST_PHOSPHOR_MM:g} mm proud"
            raise NoteRefused("the position", needed, f"{at_mm:g} and {phosphor_mm:g}", "Check the numbers.")
        mm, signal = (column.values.tolist() for column in columns[:2])
        whole = [(x, y) for x, y in zip(mm, signal, strict=True) if math.isfinite(x) and math.isfinite(y)]
        return {
            "specimen": specimen,
            "mm": [x for x, _ in whole],
            "signal": [y for _, y in whole],
            "at_mm": at_mm,
            "phosphor_mm": phosphor_mm,
        }

    return enter(folder, desk, who, "position", payload)
