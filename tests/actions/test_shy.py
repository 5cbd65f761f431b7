"""Anybody may ask the host without a voice; nothing says who."""

import pytest
from a_room import GUEST, HOST, state

from edgeshift.actions import shy
from edgeshift.actions.shy import ask_shyly, hear
from edgeshift.errors import NoteRefused


def test_a_question_says_nothing_but_itself(folder, desk):
    event = ask_shyly(folder, desk, GUEST, " What is an edge? ")
    assert (event.payload, event.role, event.reason) == ({"text": "What is an edge?"}, "student", "")
    assert [(q.text, q.heard) for q in state(folder).shy] == [("What is an edge?", False)]


def test_a_question_is_heard_once(folder, desk):
    number = ask_shyly(folder, desk, GUEST, "What is an edge?").number
    hear(folder, desk, HOST, number)
    assert state(folder).shy[0].heard
    with pytest.raises(NoteRefused, match=f"line {number}: needed a question that waits, found none"):
        hear(folder, desk, HOST, number)


@pytest.mark.parametrize(
    ("text", "words"),
    [(" ", "the question: needed some words"), ("x" * 281, "the question: needed at most 280 letters")],
)
def test_a_question_is_a_short_one(folder, desk, text, words):
    with pytest.raises(NoteRefused, match=words):
        ask_shyly(folder, desk, GUEST, text)


def test_so_many_questions_wait_and_no_more(folder, desk, monkeypatch):
    monkeypatch.setattr(shy, "MOST_WAITING", 1)
    first = ask_shyly(folder, desk, GUEST, "What is an edge?").number
    with pytest.raises(NoteRefused, match="the question: needed at most 1 questions that wait"):
        ask_shyly(folder, desk, GUEST, "And what is a step?")
    hear(folder, desk, HOST, first)
    ask_shyly(folder, desk, GUEST, "And what is a step?")
