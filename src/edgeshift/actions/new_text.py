"""What must hold of a new experiment text before it is in force, whoever wrote it and wherever."""

from __future__ import annotations

from dataclasses import replace

from edgeshift.actions.session import Session
from edgeshift.errors import NoteRefused, Refusal
from edgeshift.folder.experiment_folder import TEXT, ExperimentFolder
from edgeshift.formats.experiment_text import load
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.shift_state import ShiftState


def check_text(text: str, folder: ExperimentFolder, state: ShiftState) -> None:
    """Refuse a text that does not hold, or in which what is known already could not go on.

    Raises TextRefused for the text itself, NoteRefused for its arms, and for a scan that could not be read
    any more what reading it raises.
    """
    experiment = load(text, TEXT)
    if state.curtain is not None and {arm.name for arm in experiment.arms} != set(state.curtain):
        # an arm without a letter of its own would show which it is
        raise NoteRefused("the arms", "those behind the curtain", "others", "Open the curtain first.")
    if state.arrivals and experiment.beamline != _beamline_before(state):
        Session(folder).read(replace(state, experiment_text=text))


def _beamline_before(state: ShiftState) -> object:
    try:
        before: Experiment = load(state.experiment_text, TEXT)
    except Refusal:  # accepted by an older version, and no text to this one
        return None
    return before.beamline
