"""Real pairs through the ordinary path: taken into a folder and asked why they differ.

Data and credits: README of the folder that the fixture `open_data` gives. Expected there: repeats agree in
position, not in height, with the cause left open; pyrite 01 and 02 agree as repeats.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from edgeshift.actions.ask import answer, ask
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.wording.plain import as_text

TEXT = "question: what is it?\n"
PLACED = TEXT + "beamline:\n  place: {file_name: '(?P<specimen>.+)_[0-9]+'}\n"
THICKER = {
    "gypsum": ("library_xdi/S", "gypsum_rt_0*.xdi"),
    "Gypse": ("mineral_raw", "Gypse_0*.dat"),
    "CaS": ("library_xdi/S", "CaS_rt_00*.xdi"),
}


@pytest.fixture
def folder_of(open_data, tmp_path):
    """Files that fit a pattern, taken into a new folder; its path and their names."""

    def made(place: str, pattern: str, text: str = TEXT):
        paths = sorted((open_data / place).glob(pattern))
        assert len(paths) > 1
        desk = steady_desk()
        with ExperimentFolder.create(tmp_path / "asked", text, desk.now()) as folder:
            taken = take(folder, [(path.name, path.read_bytes()) for path in paths], desk)
        assert {one.outcome for one in taken} == {"taken"}
        return tmp_path / "asked", [path.name for path in paths]

    return made


def compared(folder, *pair):
    (found,) = ask(folder, "trust", compare=pair, desk=steady_desk())
    return found


@pytest.mark.parametrize(("place", "pattern"), THICKER.values(), ids=THICKER)
def test_thicker_and_thinner_repeats_agree_in_position_and_their_cause_stays_open(folder_of, place, pattern):
    folder, names = folder_of(place, pattern)
    with ExperimentFolder.open(folder) as held:
        session = Session(held)
        for pair in combinations(names, 2):
            (found,) = answer(session, "trust", compare=pair)
            assert found.detail["autopsy"]["kind"] in ("gain", "bend"), pair
            said = " ".join((found.sentence, *found.cautions))
            assert "may be chemistry" not in said and ("unproven" in said or "cause open" in said)
            for fact in found.because:
                assert fact.code != "slide" or abs(fact.value) < 0.05, pair


def test_two_scans_of_pyrite_agree_as_repeats_and_their_noise_is_the_right_size(folder_of):
    """Their I0 is a current turned into pulses: as counts it would make the noise twice too large."""
    found = compared(*_pair(folder_of("mineral_raw", "Pyrite_0*.dat")))
    assert "agree as repeats" in found.sentence and found.edge == "S K"
    assert 0.5 < found.detail["autopsy"]["chi2_nu"] < 1.5


def _pair(made):
    folder, names = made
    return folder, *names[:2]


@pytest.mark.parametrize(
    "pair", [("MnO2_rt_01.xdi", "Mn3O4_rt_01.xdi"), ("Mn2O3_rt_01.xdi", "Mn3O4_rt_01.xdi")]
)
def test_two_oxides_are_two_different_spectra_and_repeats_of_one_are_not(folder_of, pair):
    folder, _ = folder_of("library_xdi/Mn", "*.xdi")
    found = compared(folder, *pair)
    assert "two different spectra" in found.sentence and found.cautions
    assert not {"gain", "offset", "slide"} & {fact.code for fact in found.because}
    one = compared(folder, pair[0], pair[0].replace("01", "02"))
    assert "two different" not in one.sentence


def test_ten_short_scans_of_one_name_are_read_as_a_series_with_its_limit_and_a_hint(folder_of):
    folder, _ = folder_of("dose_series_raw", "*.dat")
    text = as_text(ask(folder, "trust", desk=steady_desk()))
    assert "Ten short scans of one name: if one spot, no change shown; 0.23 % each would have shown." in text
    assert "say so: note place for each, or place.file_name" in text


def test_the_same_ten_once_placed_are_told_as_one_spot_with_the_limit_in_the_text(folder_of):
    folder, _ = folder_of("dose_series_raw", "*.dat", PLACED)
    text = as_text(ask(folder, "trust", desk=steady_desk()))
    assert "Ten short scans of one spot: no change shown; more than 0.23 % a scan would have shown." in text
    assert text.count("too short to scale to an edge step") == 20, "each in its reasons and on its own line"
