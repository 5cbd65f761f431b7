"""The truth is sealed against accident."""

import base64
import hashlib
import json
import zlib

import pytest

from edgeshift.errors import TextRefused
from edgeshift.practice import planted, shift
from edgeshift.practice.seal import HEAD, PARTS, check_files, opened, sealed


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


def packed(told):
    """A seal with a right digest, whatever it holds."""
    body = base64.b64encode(zlib.compress(json.dumps(told).encode())).decode("ascii")
    return f"{HEAD}\nsha256 {hashlib.sha256(body.encode()).hexdigest()}\n{body}\n"


@pytest.mark.parametrize("part", PARTS)
def test_a_seal_that_lacks_a_part_is_refused_by_its_name(text, part):
    told = {key: value for key, value in opened(text).items() if key != part}
    with pytest.raises(TextRefused, match=f"needed a seal with every part, found one without '{part}'"):
        opened(packed(told))


def test_a_seal_that_holds_no_truth_at_all_is_refused(text):
    with pytest.raises(TextRefused, match="found one without 'scenario'"):
        opened(packed([1, 2]))
    broken = text.replace(HEAD, HEAD.replace("truth 3", "truth 1"))
    with pytest.raises(
        TextRefused, match="needed a seal of this version, found 'edgeshift practice truth 1'"
    ):
        opened(broken)


def test_a_seal_speaks_of_its_own_files_alone(text):
    told = opened(text)
    files = told["files"]
    check_files(told, files)
    check_files(told, {})
    check_files(told, {**files, "a_note.txt": "f" * 64})
    name = next(iter(files))
    with pytest.raises(
        TextRefused, match=f"needed the seal of this shift, found one that holds another '{name}'"
    ):
        check_files(told, {**files, name: "0" * 64})
    with pytest.raises(TextRefused, match="found one that knows none of its files"):
        check_files(told, {"elsewhere.dat": "0" * 64})
