"""The sentence of an answer and its one fact."""

from __future__ import annotations

from dataclasses import replace

from edgeshift.records.answer import Answer

TOLD = Answer("trust", "all-kept", "**All 46 scans kept**; 11 with a note.")


def test_a_marked_sentence_is_kept_plain_and_its_fact_beside_it():
    assert TOLD.sentence == "All 46 scans kept; 11 with a note."
    assert TOLD.fact == "All 46 scans kept"
    assert TOLD.marked == "**All 46 scans kept**; 11 with a note."


def test_a_copy_of_an_answer_keeps_its_fact():
    assert replace(TOLD, cautions=("Look twice.",)).marked == TOLD.marked


def test_a_sentence_without_a_fact_stays_as_it_is():
    bare = Answer("trust", "all-kept", "All scans kept.")
    assert (bare.fact, bare.marked) == ("", "All scans kept.")


def test_a_copy_with_another_sentence_drops_a_fact_that_is_not_in_it():
    assert replace(TOLD, sentence="No scans yet.").marked == "No scans yet."


def test_a_fact_takes_no_part_in_equality():
    assert Answer("trust", "all-kept", TOLD.sentence) == TOLD
