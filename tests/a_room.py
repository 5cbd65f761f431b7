"""A small experiment with two scans in it, in which people act."""

from __future__ import annotations

from pathlib import Path

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who
from edgeshift.actions.new import new
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.room import Card
from edgeshift.records.shift_state import ShiftState, replay

TEXT = """\
question: does the fire change the clay?
# the control did not get the treatment
arms: [{name: raw, control: true}, {name: fired}]
units: [{name: A, arm: raw}, {name: B, arm: fired}]
specimens: [{name: A-raw, unit: A}, {name: B-fired, unit: B}]
"""
HOST, GUEST = Who("host", "we talked it over"), Who("student")
SEAT, OTHER_SEAT = "0badcafe0badcafe", "00c0ffee00c0ffee"
SKETCH = [(1560.0, 0.0), (1566.0, 0.5), (1570.0, 1.2)]
CARDS = (Card("one more pot", 24.0, "the pots", "the fire", 0.7), Card("stop and write", 30.0))


def begun(path: Path, desk: Desk, text: str = TEXT) -> ExperimentFolder:
    """The experiment at `path`, with the scans 1 and 2 taken from a.dat and b.dat."""
    folder = new(path, text, desk)
    for name in ("a.dat", "b.dat"):
        payload = {"file": name, "sha256": f"sha-{name}", "bytes": 1, "entry": None, "profile": None}
        folder.append([Event(0, desk.now(), "arrival", "tool", "", payload)])
    return folder


def state(folder: ExperimentFolder) -> ShiftState:
    """All that is known now."""
    return replay(folder.events())
