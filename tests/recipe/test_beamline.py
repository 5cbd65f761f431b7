"""A beamline profile says which column is what; what cannot hold is refused where it is typed."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from edgeshift.recipe.beamline import BeamlineProfile, ChannelColumns


def channel(**more) -> dict:
    return {"channels": [{"role": "i0", "columns": ["mesh"], **more}]}


def test_an_empty_profile_says_nothing():
    profile = BeamlineProfile()
    assert (profile.energy, profile.channels, profile.signal) == (None, (), None)
    assert profile.place.specimen_key is None


def test_counting_noise_is_for_counts_and_a_detector_is_plain_unless_somebody_says_more():
    one = ChannelColumns(role="i0", columns=("mesh",))
    assert (one.unit, one.offset, one.gain, one.sign, one.dead_time_s, one.corrected) == (
        "counts", 0.0, 1.0, 1, 0.0, False,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"energy": {"column": "E", "unit": "nm"}}, "'eV', 'keV' or 'deg'"),
        ({"energy": {"column": "E", "d_spacing_angstrom": 0}}, "greater than 0"),
        (channel(role="tey"), "electron-yield"),
        (channel(columns=[]), "at least 1 item"),
        (channel(unit="mV"), "'counts', 'counts/s', 'V', 'A' or 'none'"),
        (channel(sign=0), "1 or -1"),
        (channel(gain=0), "a gain of zero leaves no signal"),
        (channel(gain=float("inf")), "finite number"),
        (channel(offset=float("nan")), "finite number"),
        (channel(dead_time_s=-1e-6), "greater than or equal to 0"),
        ({"dwell_s": 0}, "greater than 0"),
        ({"incidence_deg": 91}, "less than or equal to 90"),
        ({"place": {"file_name": "(?P<specimen"}}, "is not a regular expression"),
        ({"place": {"file_name": "[a-z]+"}}, "needs a group named 'specimen'"),
        ({"flux": 1e11}, "Extra inputs are not permitted"),
    ],
)
def test_what_cannot_hold_is_refused(typed, words):
    with pytest.raises(ValidationError, match=words):
        BeamlineProfile.model_validate(typed)


def test_a_pattern_with_its_groups_holds():
    pattern = r"(?P<specimen>[^_]+)_(?P<spot>\d+)"
    assert BeamlineProfile.model_validate({"place": {"file_name": pattern}}).place.file_name == pattern
