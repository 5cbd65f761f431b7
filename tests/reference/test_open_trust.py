"""No trap is seen in real scans where none is known: spots and specimens as their files name them.

Data and credits: README of the folder that the fixture `open_data` gives.
"""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from open_scans import RECIPE, scan

from edgeshift.errors import Refusal
from edgeshift.questions import trust
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.scan import Place
from edgeshift.records.shift_state import ShiftState
from edgeshift.reduction.pipeline import flagged

FOLDERS = {
    "redox_glass_raw": "*.dat",
    "mineral_raw": "*.dat",
    "library_xdi/S": "*.xdi",
    "library_xdi/Mn": "*.xdi",
    "library_xdi/Fe": "*.xdi",
    "library_xdi/V": "*.xdi",
    "sulfur_glass_csv": "*.csv",
}


def placed(name: str) -> Place:
    """Specimen and spot where a file name holds them, as Andradite_pt2_01.dat."""
    found = re.match(r"(?P<specimen>.+?)_(?:(?P<spot>pt\d)_)?(?:rt_)?\d+\.\w+\Z", name)
    return Place(found["specimen"], found["spot"]) if found else Place(name)


def answered(folder, pattern: str):
    """What trust says of all readable files of a folder, each at the place that its name says."""
    by_edge: dict[str, list] = {}
    for number, path in enumerate(sorted(folder.glob(pattern)), 1):
        try:
            one = scan(path, place=placed(path.name))
        except Refusal:
            continue
        by_edge.setdefault(one.edge or "no known edge", []).append(replace(one, key=f"scan-{number:03d}"))
    assert by_edge
    sets = {edge: flagged(tuple(some), RECIPE) for edge, some in by_edge.items()}
    return trust.answer(ShiftState(), Experiment(), sets)


@pytest.mark.parametrize(("folder", "pattern"), FOLDERS.items())
def test_nothing_is_blamed_on_damage_charging_slides_ghosts_or_places(open_data, folder, pattern):
    found = answered(open_data / folder, pattern)
    assert found.detail["findings"] == []


def test_calcium_sulphides_said_to_be_one_spot_are_still_not_called_damaged(open_data):
    """They differ by gain and one is pressed down; a dose is not the only thing that does that."""
    some = [
        replace(scan(path, place=Place("CaS", "one")), key=path.stem)
        for path in sorted((open_data / "library_xdi/S").glob("CaS_*"))
    ]
    found = trust.answer(ShiftState(), Experiment(), {"S K": flagged(tuple(some), RECIPE)})
    assert not {each["code"] for each in found.detail["findings"]} & {"damage", "charging", "off-specimen"}
