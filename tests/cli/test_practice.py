"""The practice verb: which shift, with which troubles, how fast, and what was caught."""

import json

import pytest
from practised import PLAN
from typer.testing import CliRunner

from edgeshift.cli.application import app
from edgeshift.errors import FolderRefused, TextRefused


@pytest.fixture(scope="module")
def say():
    """Run the verb; a refusal comes through as itself."""

    def run(*words):
        result = CliRunner().invoke(app, ["practice", *map(str, words)])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run


@pytest.fixture(scope="module")
def linen(tmp_path_factory, say):
    place = tmp_path_factory.mktemp("said") / "linen"
    said = say(place, "--scenario", "linen", "--traps", "L1,L2", "--seed", 5, "--at-once").stdout
    return place, said


def test_a_scenario_with_traps_is_taken_and_answered(linen):
    place, said = linen
    assert said.startswith(f"19 invented files stand in {place / 'raw'}")
    assert "The incoming beam fell away" in said


def test_the_score_names_every_planted_trap_with_its_time(linen, say):
    lines = say(linen[0], "--score").stdout.splitlines()
    assert lines[0].startswith("Caught 2 of 2 planted traps; false alarms: ")
    assert lines[1].split()[1:5] == ["L1", "caught", "by", "the"]
    assert lines[1].split()[0].count(":") == 1


def test_the_score_comes_as_json_too(linen, say):
    (told,) = json.loads(say(linen[0], "--score", "--json").stdout)
    assert told["scenario"] == "linen"
    assert {call["trap"] for call in told["calls"] if call["outcome"] == "hit"} == {"L1", "L2"}


def test_a_plan_can_be_rehearsed_live(tmp_path, say):
    (tmp_path / "mine.yaml").write_text(PLAN, encoding="utf-8")
    said = say(tmp_path / "shift", "--plan", tmp_path / "mine.yaml", "--speed", 1e6).stdout
    assert said.startswith("2 invented files stand in")
    assert "does the rain" in (tmp_path / "shift" / "experiment.yaml").read_text("utf-8")


def test_live_and_at_once_exclude_each_other(tmp_path, say):
    result = say(tmp_path / "shift", "--speed", 60, "--at-once")
    assert result.exit_code == 2
    assert "not both" in " ".join(result.stderr.split())


def test_what_is_not_there_is_refused(tmp_path, say):
    with pytest.raises(TextRefused, match="needed one of riverbank, riverbank-2, riverbank-3, linen"):
        say(tmp_path / "shift", "--scenario", "moon")
    with pytest.raises(FolderRefused, match="the folder of an experiment"):
        say(tmp_path / "nowhere", "--score")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--score", "--traps", "T1"), "leave --traps out"),
        (("--score", "--seed", 1), "leave --seed out"),
        (("--plan", "mine.yaml", "--scenario", "linen"), "choose --plan or --scenario"),
    ],
)
def test_what_would_be_passed_over_is_refused(tmp_path, say, words, said):
    result = say(tmp_path / "shift", *words)
    assert result.exit_code == 2
    assert said in " ".join(result.stderr.replace("│", " ").split())


@pytest.mark.parametrize(
    ("traps", "words"),
    [
        ("", "found nothing. Name others."),
        ("L1,none", "found 'none'. Say none alone, or leave it out."),
        ("L1,l9", "found 'l9'. Name others."),
    ],
)
def test_traps_are_named_or_none_or_all(tmp_path, say, traps, words):
    with pytest.raises(TextRefused, match=words):
        say(tmp_path / "shift", "--scenario", "linen", "--traps", traps)
