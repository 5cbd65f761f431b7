"""Every kind that a room enters has its verb, its JSON and its kind refusal."""

import json

import pytest
from a_room import SEAT, TEXT, begun, state
from typer.testing import CliRunner

from edgeshift.actions.desk import Desk
from edgeshift.cli.application import app
from edgeshift.errors import NoteRefused
from edgeshift.folder.experiment_folder import ExperimentFolder

CARDS = ("--card", "one more pot=24", "--card", '{"title": "stop and write", "minutes": 30, "settles": "it"}')
WHY = ("--reason", "we talked it over")


@pytest.fixture
def note(tmp_path):
    """Run one kind of note in a small experiment; a refusal comes through as itself."""
    begun(tmp_path / "shift", Desk()).close()

    def run(*words):
        result = CliRunner().invoke(app, ["note", str(tmp_path / "shift"), *map(str, words)])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert result.exit_code == 0, result.output
        return result.stdout

    def now():
        with ExperimentFolder.open(tmp_path / "shift") as folder:
            return state(folder)

    run.state, run.place = now, tmp_path
    return run


def entered(note, *words) -> dict:
    (event,) = json.loads(note(*words, "--json"))
    return event


def test_the_stage_is_told_what_to_show(note):
    event = entered(
        note, "show", "trust", "--compare", 1, "--compare", 2, "--next", "real: Al K", "--next", "say"
    )
    assert event["payload"] == {
        "now": {"question": "trust", "edge": None, "compare": ["scan-001", "scan-002"]},
        "next": [
            {"question": "real", "edge": "Al K", "compare": None},
            {"question": "say", "edge": None, "compare": None},
        ],
    }


def test_the_curtain_is_drawn_and_opened(note):
    assert sorted(entered(note, "curtain", "drawn")["payload"]["lot"]) == ["fired", "raw"]
    with pytest.raises(NoteRefused, match="opening the curtain: needed a reason"):
        note("curtain", "open")
    assert entered(note, "curtain", "open", *WHY)["payload"] == {"drawn": False}
    with pytest.raises(NoteRefused, match="the curtain: needed one of drawn, open, found 'ajar'"):
        note("curtain", "ajar")


def test_paper_ballots_are_entered_and_each_has_its_seat(note):
    entered(note, "round", "guess", "--edge", "Al K", "--about", "the fired pot")
    event = entered(note, "guess", "1560:0", "1570:-0.5")
    assert (event["role"], event["payload"]["points"]) == ("student", [[1560.0, 0.0], [1570.0, -0.5]])
    entered(note, "guess", "1560:0", "1570:1")
    entered(note, "guess", "1560:0", "1570:2", "--by", SEAT, "--round", "guess-1")
    guesses = note.state().rounds["guess-1"].guesses
    assert len(guesses) == 3
    assert SEAT in guesses


def test_a_vote_is_held_closed_opened_again_and_decided(note):
    assert len(entered(note, "round", "vote", *CARDS)["payload"]["cards"]) == 2
    assert entered(note, "vote", "stop and write", "--by", SEAT)["payload"]["by"] == SEAT
    entered(note, "round", "vote-1", "--close")
    entered(note, "round", "vote-1", "--reopen", *WHY)
    entered(note, "round", "vote-1", "--close")
    decided = entered(note, "decide", "stop and write", "--round", "vote-1", *WHY)
    assert decided["payload"] == {"round": "vote-1", "card": "stop and write", "minutes": 30.0}
    entered(note, "decide", "--undo", decided["number"], *WHY)
    assert note.state().decisions == ()


def test_a_claim_is_said_and_taken_back(note):
    event = entered(
        note, "claim", "It falls.", "--level", 3, "--evidence", "three pairs", "--because", "beyond scatter",
        "--edge", "Al K", "--kind", "height", "--window", "1566-1567", "--arm", "raw", "--arm", "fired",
    )  # fmt: skip
    assert event["payload"]["feature"] == {"kind": "height", "windows": [[1566.0, 1567.0]], "words": ""}
    assert (event["payload"]["claim"], event["payload"]["arms"]) == ("It falls.", ["raw", "fired"])
    instead = entered(note, "claim", "They differ.", "--level", 2, "--instead-of", event["number"])
    entered(note, "claim", "--take-back", instead["number"], *WHY)
    assert [claim.stands for claim in note.state().claims] == [False, False]


def test_a_worry_is_accepted_and_worried_about_again(note):
    entered(note, "accept", "scan-001/spike", *WHY)
    assert list(note.state().accepted) == ["scan-001/spike"]
    entered(note, "accept", "scan-001/spike", "--undo", *WHY)
    assert note.state().accepted == {}


def test_a_shy_question_is_asked_and_heard(note):
    event = entered(note, "shy", "what is an edge?")
    entered(note, "shy", "--heard", event["number"])
    assert [(q.text, q.heard) for q in note.state().shy] == [("what is an edge?", True)]


def test_the_groups_words_enter_a_slot_and_are_taken_back(note):
    event = entered(note, "words", "title", "Fire changes clay")
    assert [(one.slot, one.text) for one in note.state().words] == [("title", "Fire changes clay")]
    entered(note, "words", "--undo", event["number"])
    assert note.state().words == ()


def test_an_edit_says_what_it_changed(note):
    said = note("edit", "--set", "recipe/flag/spike_sigmas=5", *WHY)
    assert said.splitlines()[1:] == ["Flag, spike sigmas: 6 became 5 standard deviations."]
    said = note("edit", "--set", "units/A/arm=fired", *WHY)
    assert said.splitlines()[1:] == ["Unit A, arm: raw became fired."]
    said = note("edit", "--set", "recipe/flag/spike_sigmas=", *WHY)
    assert said.splitlines()[1:] == ["Flag, spike sigmas: 5 became 6 standard deviations."]


def test_a_whole_text_is_put_in_force_and_undone(note):
    (note.place / "new.yaml").write_text(TEXT.replace("the fire", "the rain"), encoding="utf-8")
    event = entered(note, "edit", note.place / "new.yaml", *WHY)
    assert "the rain" in note.state().experiment_text
    entered(note, "edit", "--undo", event["number"], *WHY)
    assert note.state().experiment_text == TEXT


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (("edit", *WHY), "the edit: needed a file, --set or --undo, found none or several"),
        (("edit", "--set", "question=x"), "the edit: needed a reason, found none"),
        (("guess", "1560"), "the point: needed ENERGY:HEIGHT, found '1560'"),
        (("round", "vote", "--card", "one more pot"), "the card: needed TITLE=MINUTES, found 'one more pot'"),
        (("round", "vote", "--card", '{"face": 1}'), "the card: needed TITLE=MINUTES"),
        (("round", "dance"), "the round: needed one of guess, vote, found 'dance'"),
        (("round", "guess"), r"the round \(edge\): needed an element and a shell"),
        (("vote", "go home"), "the vote: needed an open round of this sort, found none"),
        (("decide", "go home"), "the decision: needed a reason, found none"),
        (("show", "why"), "the question: needed one of begin, here"),
    ],
)
def test_what_makes_no_sense_is_refused(note, words, refusal):
    with pytest.raises(NoteRefused, match=refusal):
        note(*words)
