"""What a room sees of a figure with three strips."""

from __future__ import annotations

import sample_answers as samples

from edgeshift.figures import figure_of, two_strips


def titles(answer) -> list[str]:
    return [strip.title.split(":")[0] for strip in two_strips(figure_of(answer)).panels[0].strips]


def test_the_change_of_shape_is_left_to_whoever_sits_closer():
    assert titles(samples.real()) == ["", "difference"]


def test_it_stays_where_the_answer_rests_on_it_alone():
    curves = samples.curves()
    alone = {"passed": ["shape"], "beyond": {"shape": curves["beyond"]["shape"]}}
    assert titles(samples.real(curves=curves | alone)) == ["", "difference", "change of shape"]


def test_all_else_stays():
    whole = figure_of(samples.real())
    assert two_strips(whole).panels[1] == whole.panels[1]
    shelf = figure_of(samples.overview())
    assert two_strips(shelf) == shelf


def test_words_tell_of_the_strips_that_are_drawn_and_of_no_other():
    whole = figure_of(samples.real())
    assert "change of shape" in whole.alt
    assert "change of shape" not in two_strips(whole).alt
    assert two_strips(whole).alt.startswith(whole.alt.partition("; beneath that")[0])
    curves = samples.curves()
    alone = {"passed": ["shape"], "beyond": {"shape": curves["beyond"]["shape"]}}
    kept = figure_of(samples.real(curves=curves | alone))
    assert two_strips(kept).alt == kept.alt
