"""Story, pack and prove on the command line: sentences for people, a list for machines, honest exit codes."""

import json
import shutil

import pytest
from acted import NOTED, SAID, acted
from typer.testing import CliRunner

from edgeshift.cli.application import app
from edgeshift.errors import EnvelopeRefused, UnreadableFile


def say(*words):
    result = CliRunner().invoke(app, [str(word) for word in words])
    if isinstance(result.exception, Exception):
        raise result.exception
    return result.stdout


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    place = tmp_path_factory.mktemp("cli") / "riverbank"
    acted(place).close()
    return place


@pytest.fixture(scope="module")
def packed(shift):
    return say("pack", shift)


def test_story_prints_what_was_done_and_found(shift):
    told = say("story", shift)
    assert told.startswith("Does our pit fire change the clay")
    assert SAID in told and NOTED in told
    (same,) = json.loads(say("story", shift, "--json"))
    assert all(one["sentence"] in told for one in same["answers"])


def test_story_goes_back_to_a_minute(shift):
    (whole,) = json.loads(say("story", shift, "--json", "--all"))
    then = say("story", shift, "--until", whole["moments"][1]["known"])
    assert "Scan 2 set aside" in then and SAID not in then


def test_pack_says_where_it_lies_and_what_to_read_first(packed, shift):
    assert packed.startswith(f"{shift / 'envelope' / 'riverbank.zip'}: ")
    assert "caution: In people's own words it holds one note and one claim" in packed
    (same,) = json.loads(say("pack", shift, "--json"))
    assert same["path"] == str(shift / "envelope" / "riverbank.zip") and same["bytes"] > 10**5


def test_prove_prints_the_chain(packed, shift):
    told = say("prove", shift / "envelope" / "riverbank.zip")
    assert told.startswith("riverbank.zip: the chain holds; packed by edgeshift ")
    assert told.count(": holds") == 8
    (same,) = json.loads(say("prove", shift / "envelope" / "riverbank.zip", "--json"))
    assert same["holds"] is True and len(same["links"]) == 8


def test_prove_tells_the_chain_and_then_refuses_what_was_changed(packed, shift, tmp_path):
    hurt = tmp_path / "other.zip"
    shutil.copy(shift / "envelope" / "riverbank.zip", hurt)
    hurt.write_bytes(
        hurt.read_bytes()
        .replace(b"raw clay minus", b"raw cIay minus")
        .replace(NOTED.encode(), b"x" * len(NOTED))
    )
    with pytest.raises(
        EnvelopeRefused, match="other.zip: needed book.jsonl as it was packed, found other bytes"
    ):
        say("prove", hurt)
    told = CliRunner().invoke(app, ["prove", str(hurt), "--json"]).stdout
    assert json.loads(told)[0]["links"][1]["state"] == "breaks"


def test_prove_refuses_what_is_no_envelope(tmp_path, shift):
    with pytest.raises(UnreadableFile, match="needed a file that can be read"):
        say("prove", tmp_path / "nothing.zip")
    with pytest.raises(EnvelopeRefused, match="experiment.yaml: needed an envelope, found no zip archive"):
        say("prove", shift / "experiment.yaml")
