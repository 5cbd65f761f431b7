"""The fan as data: what is drawn, and what is left out where nothing is forecast."""

import sample_answers

from edgeshift.figures import figure_of
from edgeshift.records.figure import Blank, Fan


def fan(answer) -> Fan:
    (panel,) = figure_of(answer).panels
    return panel


def test_a_forecast_has_a_future_a_limit_and_a_capsule_on_it():
    answer = sample_answers.pumping()
    drawn, minutes = fan(answer), answer.detail["minutes"]
    now = drawn.x[-1]
    assert drawn.limit == 1e-6 and drawn.limit_words[0] == "the limit our host typed"
    assert (drawn.capsule.low, drawn.capsule.value) == (now + minutes["low"], now + minutes["value"])
    assert drawn.future.x[0] == now and drawn.ruler.high >= drawn.capsule.high


def test_the_bold_sentence_is_the_answers_own():
    answer = sample_answers.pumping()
    assert answer.fact.endswith(" more minutes,")
    assert figure_of(answer).sentence == answer.marked


def test_a_capsule_without_an_end_is_open():
    assert fan(sample_answers.pumping_late()).capsule.high is None


def test_a_stall_has_no_capsule_and_a_question_to_the_room():
    answer = sample_answers.stalled()
    assert fan(answer).capsule is None and fan(answer).future
    assert figure_of(answer).question_to_room == "If it stalls, how could we tell wet from leaking?"


def test_below_the_limit_nothing_is_foretold():
    assert fan(sample_answers.below()).future is None


def test_without_a_forecast_only_dots_are_drawn():
    drawn = fan(sample_answers.no_forecast())
    assert len(drawn.x) == 3 and drawn.future is None and drawn.capsule is None and not drawn.now_words


def test_without_readings_the_page_is_empty():
    assert isinstance(fan(sample_answers.no_pressure()), Blank)


def test_steps_of_the_gauge_are_named_once():
    flags = fan(sample_answers.pumping()).flags
    assert [bool(flag.words) for flag in flags] == [True, *[False] * (len(flags) - 1)] and len(flags) >= 2
