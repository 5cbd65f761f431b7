"""The truth is sealed against accident."""

import pytest

from edgeshift.errors import TextRefused
from edgeshift.practice import planted, shift
from edgeshift.practice.seal import opened, sealed


@pytest.fixture(scope="module")
def text(riverbank):
    return sealed(riverbank, shift(riverbank, 7, planted(riverbank, "T1,T10")), 7)


def test_a_seal_says_nothing_to_a_glance_and_everything_to_scoring(text):
    assert not {"0024", "slide", "trip", "T10"} & set(text.replace(":", " ").split())
    told = opened(text)
    assert told["scenario"] == "riverbank"
    assert set(told["traps"]) == {"T1", "T10"}
    assert told["traps"]["T10"]["by_plant"][0][1] == "RAW-B_spot2_copy.dat"
    assert set(told["scans"]) < set(told["landed_s"])


@pytest.mark.parametrize(
    "harm", [lambda t: t[:-40], lambda t: t.replace("sha256 ", "sha256 0"), lambda t: ""]
)
def test_a_broken_seal_is_refused(text, harm):
    with pytest.raises(TextRefused, match="needed the seal as it was written, found a broken one"):
        opened(harm(text))
