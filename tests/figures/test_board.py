"""Several edges in one strip."""

from __future__ import annotations

import sample_answers as samples

from edgeshift.figures import figure_of
from edgeshift.figures.board import summary
from edgeshift.records.answer import Answer


def test_every_edge_has_its_ladder_in_the_order_given():
    (board,) = summary(samples.edges()).panels
    assert [ladder.name for ladder in board.ladders] == ["Al K", "Fe L", "K L", "Ti L", "Si K"]
    assert board.ladders[2].states == ("lit", "not-shown", "not-shown")
    assert board.titles == ("repeat scans", "other spots", "other units")


def test_the_answer_that_sums_up_gives_the_sentence():
    assert summary(samples.edges()).sentence.startswith("**Aluminium and iron**")
    assert summary(samples.edges(), "Said otherwise.").sentence == "Said otherwise."


def test_the_strip_says_every_rung_in_words():
    assert (
        "K L: repeat scans lit, other spots not shown, other units not shown, declared before."
        in summary(samples.edges()).alt
    )


def test_the_answer_that_sums_up_draws_the_same_strip():
    each = samples.edges()[:-1]
    edges = [{**one.detail, "edge": one.edge, "verdict": one.verdict} for one in each]
    whole = Answer("real", "units", samples.edges()[-1].marked, detail={"edges": edges})
    assert figure_of(whole) == summary(samples.edges())


def test_an_edge_asked_for_two_arms_names_them():
    edges = [
        {"edge": "Al K", "treated": [arm], "verdict": "units", "rungs": {}, "declared": "before"}
        for arm in ("fired", "smoked")
    ]
    (board,) = figure_of(Answer("real", "units", "Both moved.", detail={"edges": edges})).panels
    assert [ladder.name for ladder in board.ladders] == ["Al K, {arm:fired}", "Al K, {arm:smoked}"]


def test_without_answers_there_is_one_thing_to_do():
    (blank,) = summary([], "Nothing yet.").panels
    assert blank.state == "empty" and blank.act
