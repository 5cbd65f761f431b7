"""Asking on the command line: sentences for people, a list for machines, the same answers."""

import json

import pytest
from typer.testing import CliRunner

from edgeshift.cli.application import app
from edgeshift.errors import FolderRefused, QuestionRefused


def say(*words):
    result = CliRunner().invoke(app, [str(word) for word in words])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


@pytest.fixture(scope="module")
def practised(tmp_path_factory):
    """A practice shift made by the verb itself, and what the verb printed."""
    place = tmp_path_factory.mktemp("practice") / "riverbank"
    return place, say("practice", place, "--seed", "3")


def test_practice_says_what_it_made_and_where_to_look(practised):
    place, result = practised
    assert result.exit_code == 0
    count = len(list((place / "raw").iterdir()))
    assert f"{count} invented files stand in {place / 'raw'}" in result.stdout
    results = place / "results"
    assert f"Pictures: {results}/*.svg" in result.stdout
    made = {one.name for one in results.iterdir()}
    assert {"trust.json", "real.json", "real-all-edges.svg", "real-Al_K-fired.svg", "spectra"} <= made
    assert (results / "spectra" / "Al_K-RAW-A-s1.xdi").exists()


def test_practice_tells_the_truth_only_when_it_is_asked(tmp_path, practised):
    told = say("practice", tmp_path / "shift", "--truth").stdout
    assert "Fe L, later over earlier peak: raw clay 1.833 (1.829), pit-fired clay 2.739 (2.747)" in told
    assert "What was put in" not in practised[1].stdout


def test_practice_refuses_a_place_that_is_in_use(practised):
    with pytest.raises(FolderRefused, match="found an experiment. Use it as it is"):
        say("practice", practised[0])


@pytest.mark.parametrize("question", ["trust", "real"])
def test_an_answer_is_a_sentence_and_the_same_as_json(practised, question):
    words = say("ask", question, practised[0]).stdout
    answers = json.loads(say("ask", question, practised[0], "--json").stdout)
    assert answers
    assert all(answer["question"] == question and answer["sentence"] in words for answer in answers)
    assert all(len(answer["identity"]) == 64 for answer in answers)


def test_one_edge_can_be_asked_for(practised):
    answers = json.loads(say("ask", "real", practised[0], "--edge", "Al K", "--json").stdout)
    assert {answer["edge"] for answer in answers} == {"Al K"}


def test_arms_are_called_by_the_groups_own_words(practised):
    words = say("ask", "real", practised[0]).stdout
    assert "{arm:" not in words


def test_two_scans_are_compared(practised):
    (answer,) = json.loads(
        say("ask", "trust", practised[0], "--compare", "scan-001", "scan-002", "--json").stdout
    )
    assert answer["question"] == "trust"


def test_a_question_nobody_can_answer_is_refused(practised):
    with pytest.raises(
        QuestionRefused, match="needed one of begin, here, trust, real, minutes, say, found 'why'"
    ):
        say("ask", "why", practised[0])


def test_a_broken_text_is_a_caution_beside_the_answer(practised):
    text = practised[0] / "experiment.yaml"
    good = text.read_bytes()
    try:
        text.write_bytes(good + b"\narmss: 1\n")
        result = say("ask", "real", practised[0], "--edge", "Al K")
    finally:
        text.write_bytes(good)
    assert "a field that is known here, found 'armss'" in result.stderr
    assert "the last accepted text stays in force" in result.stderr
    assert result.exit_code == 0
    assert "Al K" in result.stdout


def test_a_claim_is_held_against_the_data_in_words_and_in_json(practised):
    place = practised[0]
    words = "Potassium differs too, says the club."
    say("note", place, "claim", words, "--level", "3", "--edge", "K L", "--arm", "raw", "--arm", "fired")
    told = say("ask", "say", place, "--edge", "K L", "--no-stress").stdout
    assert told.startswith("K L: This claim asks for level 3. The data carry level 1.\n")
    assert "  would change it: " in told and words not in told
    (found,) = json.loads(say("ask", "say", place, "--edge", "K L", "--no-stress", "--json").stdout)
    assert found["detail"]["claim"]["claim"] == words
    assert (found["detail"]["asked"], found["detail"]["carried"], found["detail"]["survives"]) == (3, 1, None)
