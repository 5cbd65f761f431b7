"""edgeshift report: documents beside the folder, a venue's rules, and the meter of the trade's words."""

from __future__ import annotations

import json

import pytest
from a_room import GUEST
from acted import EVENING, acted
from typer.testing import CliRunner

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.slots import write_words
from edgeshift.cli.application import app

DOCUMENTS = ("report.pdf", "report.html", "poster.pdf", "slides.pptx", "exhibit.html")


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    """A shift in which the group wrote with a word of the trade."""
    place, desk = tmp_path_factory.mktemp("report") / "shift", steady_desk(EVENING)
    with acted(place, desk) as folder:
        write_words(folder, desk, GUEST, "what-we-see", "The white line of potassium fell.")
    return place


def run(*words):
    """What the command line answers."""
    return CliRunner().invoke(app, ["report", *map(str, words)], catch_exceptions=True)


def test_documents_are_written_and_the_trades_words_are_explained(shift):
    told = run(shift)
    assert told.exit_code == 0, told.output
    assert [(shift / "documents" / name).stat().st_size > 10_000 for name in DOCUMENTS] == [True] * len(
        DOCUMENTS
    )
    assert "White line: the sharp peak with which many edges begin." in told.output


def test_the_same_as_json(shift):
    found = json.loads(run(shift, "--json").output)[0]
    assert [path.rpartition("/")[2] for path in found["paths"]] == list(DOCUMENTS)
    assert "White line" in found["jargon"]["explain"]


def test_what_breaks_a_rule_of_the_venue_is_refused_and_nothing_is_written(shift, tmp_path):
    rules = tmp_path / "fair.yaml"
    rules.write_text("keep_out: [white line]\n")
    before = {name: (shift / "documents" / name).read_bytes() for name in DOCUMENTS}
    told = run(shift, "--venue", rules)
    assert told.exit_code != 0
    assert "needed none of the words that the venue keeps out" in str(told.exception or told.output)
    assert before == {name: (shift / "documents" / name).read_bytes() for name in DOCUMENTS}


def test_a_fault_of_the_venues_text_is_named_with_its_line(shift, tmp_path):
    rules = tmp_path / "fair.yaml"
    rules.write_text("links: false\nsise: A0\n")
    told = run(shift, "--venue", rules)
    assert "fair.yaml:2" in str(told.exception or told.output)


def test_before_the_first_scan_there_is_nothing_to_tell_of(tmp_path):
    new(tmp_path / "shift", "question: nothing yet?\n", steady_desk()).close()
    assert "needed a scan to tell of, found none yet" in str(run(tmp_path / "shift").exception)
