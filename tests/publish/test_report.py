"""The report of one shift: whole in one file, and in the group's words where words are due."""

from __future__ import annotations

from dataclasses import replace

import pdf_sizes
import pytest
from sample_material import WORDS, filled, material

from edgeshift.publish.material import Said
from edgeshift.publish.report import report, report_data


def test_the_same_material_gives_the_same_bytes():
    assert report(material()) == report(material())


def test_empty_slots_stay_empty_and_filled_ones_hold_the_groups_words():
    assert set(report_data(material())["words"].values()) == {None}
    assert report_data(filled())["words"] == WORDS


def test_the_answer_for_all_edges_stands_before_those_of_one():
    titles = [one["title"] for one in report_data(material())["answers"]]
    assert titles == [f"{edge}Is the difference real?" for edge in ("", "Al K: ", "Fe L: ")]


def test_a_caution_of_several_answers_is_said_once_and_one_of_a_single_answer_beside_it():
    base = material()
    first, second, third = base.answers
    both, one = (Said(text, "answer", "x") for text in ("Units are few.", "No step here."))
    answers = (replace(first, cautions=(both, one)), replace(second, cautions=(both,)), third)
    data = report_data(replace(base, answers=answers, cautions=(both, one)))
    assert data["cautions"] == [[None, "Units are few."]]
    assert [answer["cautions"] for answer in data["answers"]] == [[], ["No step here."], []]


def test_a_shared_caution_names_the_edges_it_is_for_where_others_are_free_of_it():
    base = material()
    both = Said("Units are few.", "answer", "x")
    fourth = replace(base.answers[1], edge="K L", cautions=())
    answers = (*(replace(told, cautions=(both,)) for told in base.answers[:2]), fourth)
    data = report_data(replace(base, answers=answers, cautions=(both,)))
    assert data["cautions"] == [["Al K, Fe L", "Units are few."]]


@pytest.mark.parametrize("question", ["Why?", "Does it change? " * 30])
def test_a_question_of_any_length_fits_the_head_and_no_letter_is_too_small_to_read(question):
    made = report(material(question=Said(question, "text", "question")))["report.pdf"]
    assert min(pdf_sizes.sizes_pt(made)) > 4
    assert pdf_sizes.pages(made) == pdf_sizes.pages(report(material())["report.pdf"])
