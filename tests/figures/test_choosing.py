"""Which picture belongs to an answer."""

from __future__ import annotations

import pytest
import sample_answers as samples

from edgeshift.figures import figure_of
from edgeshift.records.answer import Answer


@pytest.mark.parametrize(
    ("answer", "kind"),
    [(samples.real(), "real"), (samples.overview(), "trust"), (samples.autopsy(), "differ")],
)
def test_an_answer_gets_the_picture_of_its_question(answer, kind):
    assert figure_of(answer).kind == kind


def test_a_question_without_a_picture_shows_its_state_of_knowledge():
    answer = Answer("say", "cannot-tell", "We cannot say yet.", would_change_it=("Measure a third pair.",))
    (blank,) = figure_of(answer).panels
    assert (blank.state, blank.words) == ("cannot-tell", "Measure a third pair.")
