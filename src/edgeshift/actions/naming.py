"""What arms are called when the curtain is open."""

from __future__ import annotations

from edgeshift.records.shift_state import ShiftState
from edgeshift.wording.names import Naming, open_naming


def naming_of(state: ShiftState) -> Naming:
    """The naming by the group's own words, as the accepted experiment text has them."""
    from edgeshift.formats.experiment_text import load

    return open_naming(load(state.experiment_text, "experiment.yaml"))
