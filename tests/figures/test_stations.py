"""What the strip says of each question."""

from __future__ import annotations

from typing import get_args

import pytest
import sample_answers as samples

from edgeshift.errors import QuestionRefused
from edgeshift.figures.stations import stations
from edgeshift.records.answer import QUESTIONS, Answer
from edgeshift.records.figure import StepState
from edgeshift.wording.screen import LANGUAGES, Say
from edgeshift.wording.stations import FULLEST


def told(question: str, found) -> tuple[str, str]:
    (one,) = [station for station in stations({question: found}) if station.question == question]
    return one.state, one.words


def trust(*verdicts: str) -> list[Answer]:
    scans = {f"{n}.dat": {"scan": f"scan-{n}", "verdict": verdict} for n, verdict in enumerate(verdicts)}
    return [Answer("trust", "all-kept", "", detail={"scans": scans})]


def real(edge: str, verdict: str, lit: int = 0, role: str = "family") -> Answer:
    states = ["lit"] * lit + ["cannot-test"] * (3 - lit)
    rungs = dict(zip(("scans", "spots", "units"), states, strict=True))
    return Answer("real", verdict, "", edge, detail={"rungs": rungs, "role": role})


def test_there_are_six_in_their_order_and_what_was_not_asked_says_not_yet():
    found = stations({})
    assert [one.question for one in found] == list(QUESTIONS)
    assert {(one.state, one.words) for one in found} == {("not-yet", "not yet")}


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_mark_has_a_word_for_whoever_cannot_see_it(language):
    words = {state: Say(language)(f"state.{state}") for state in get_args(StepState)}
    assert len(set(words.values())) == len(words)


def test_a_question_that_was_refused_says_so():
    no = QuestionRefused("real", "two arms", "none", "Add arms.")
    assert told("real", no) == ("failed", "refused")


def test_before_the_first_scan_nothing_was_refused():
    no = QuestionRefused("real", "two arms", "none", "Add arms.")
    found = {"trust": [Answer("trust", "cannot-tell", "", detail={"scans": {}})], "real": no}
    (one,) = [station for station in stations(found) if station.question == "real"]
    assert (one.state, one.words) == ("not-yet", "not yet")


def test_a_question_without_anything_to_ask_about_is_empty():
    assert told("say", []) == ("empty", "nothing")
    assert told("trust", [Answer("trust", "cannot-tell", "", detail={"scans": {}})]) == ("empty", "nothing")


@pytest.mark.parametrize(
    ("verdicts", "said"),
    [
        (["keep"], ("answered", "keep")),
        (["keep-with-a-note"], ("answered", "keep, a note")),
        (["set-aside"], ("cannot-tell", "set aside")),
        (["keep"] * 30, ("answered", "30 kept")),
        (["keep"] * 9 + ["set-aside"], ("partly", "9, 1 aside")),
        (["keep"] * 27 + ["set-aside"] * 3, ("partly", "27, 3 aside")),
        (["set-aside"] * 2, ("cannot-tell", "none kept")),
    ],
)
def test_trust_says_how_many_scans_are_kept(verdicts, said):
    assert told("trust", trust(*verdicts)) == said


def test_copies_of_a_file_are_not_counted():
    answer = trust("keep", "keep")[0]
    answer.detail["scans"]["copy.dat"] = {"scan": "scan-1", "verdict": "set-aside", "copy_of": "1.dat"}
    assert told("trust", [answer]) == ("answered", "2 kept")


def test_real_at_one_edge_counts_its_rungs():
    assert told("real", [samples.real()]) == ("answered", "three rungs")
    assert told("real", [real("Al K", "spots", 2)]) == ("partly", "two rungs")
    assert told("real", [real("Al K", "cannot-tell")]) == ("cannot-tell", "cannot tell")
    assert told("real", [real("Al K", "not-shown")]) == ("answered", "not shown")
    assert told("real", [real("Al K", "units", 1)]) == ("answered", "other units")


def test_real_at_several_edges_says_which_where_there_is_room():
    both = [real("Al K", "units", 3), real("Fe L", "cannot-tell")]
    assert told("real", both) == ("partly", "Al yes, Fe?")
    assert told("real", [*both, real("Si K", "not-shown")]) == ("partly", "1 of 3 edges")


def test_an_edge_that_should_not_move_does_not_count():
    found = [real("Al K", "units", 3), real("K L", "not-shown", role="control")]
    found.append(Answer("real", "units", "", None, detail={"edges": []}))
    assert told("real", found) == ("answered", "three rungs")


def test_a_control_edge_that_moved_is_what_the_strip_says():
    found = [real("Al K", "units", 3), real("K L", "units", 3, role="control")]
    assert told("real", found) == ("partly", "control edge?")


def test_begin_tells_the_minutes_with_their_range_or_since_when_it_is_below():
    def begin(verdict, **detail):
        return told("begin", [Answer("begin", verdict, "", detail=detail)])

    assert begin("not-yet", minutes={"low": 9.2, "high": 24.6}) == ("cannot-tell", "9\u201325 min")
    assert begin("not-yet", minutes={"low": 140.0, "high": None}) == ("cannot-tell", "over 140 min")
    assert begin("below-your-limit", since="11:02") == ("answered", "since 11:02")
    assert begin("below-your-limit") == ("answered", "below limit")
    assert begin("stalled", minutes={"low": None}) == ("cannot-tell", "stalled")
    assert begin("below-your-limit", since="11:02 UTC") == ("answered", "since 11:02")
    assert begin("below-your-limit", since="minute 31") == ("answered", "since min 31")
    assert begin("cannot-tell", readings={}) == ("cannot-tell", "cannot tell")
    assert begin("cannot-tell") == ("not-yet", "not yet"), "nobody noted a pressure"


def test_the_questions_to_come_are_told_from_what_they_count():
    seen = {"Al": {"verdict": "seen"}, "Ba": {"verdict": "not-seen"}}
    assert told("here", [Answer("here", "answered", "", detail={"elements": seen})]) == (
        "answered",
        "1 element",
    )
    older = Answer("here", "answered", "", detail={"elements": seen, "as_of": "scan-041"})
    assert told("here", [older]) == ("answered", "1 at scan 41")
    assert told("here", [Answer("here", "cannot-tell", "", detail={"elements": {}})]) == (
        "not-yet",
        "not yet",
    )
    bare = {"Ba": {"verdict": "not-seen"}}
    assert told("here", [Answer("here", "answered", "", detail={"elements": bare})])[1] == "none seen"
    unmeasured = Answer("minutes", "cannot-tell", "", detail={"minutes_left": 90.0, "cards": []})
    assert told("minutes", [unmeasured]) == ("not-yet", "not yet")
    endless = Answer("minutes", "cannot-tell", "", detail={"minutes_left": None, "cards": []})
    assert told("minutes", [endless]) == ("cannot-tell", "cannot tell")
    cards = Answer("minutes", "cards", "", detail={"cards": [{}, {}, {}, {}]})
    assert told("minutes", [cards]) == ("partly", "4 choices")
    claims = [Answer("say", verdict, "", detail={"claim": {}}) for verdict in ("not-carried", "carried")]
    assert told("say", claims) == ("partly", "1 claim")
    assert told("say", claims[:1]) == ("not-yet", "1 draft")
    assert told("say", [Answer("say", "cannot-tell", "Nobody said anything.")])[0] == "not-yet"


def test_no_station_says_more_than_its_cell_holds():
    many = [real(edge, "units", 3) for edge in ("Al K", "Fe L", "Ca L", "Ti L")] + [real("Si K", "scans", 1)]
    cases = [("real", many), ("trust", trust(*["keep"] * 148, *["set-aside"] * 12))]
    cases.append(("begin", [Answer("begin", "not-yet", "", detail={"minutes": {"low": 9.0, "high": None}})]))
    for question, found in cases:
        assert 0 < len(told(question, found)[1]) <= FULLEST
