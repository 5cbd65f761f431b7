"""Names are given once, everywhere, last."""

from __future__ import annotations

import sample_answers as samples

from edgeshift.drawing.naming import name_figure
from edgeshift.figures import figure_of
from edgeshift.wording.names import Naming


def test_every_string_of_a_figure_is_named_and_every_number_stays():
    named = name_figure(figure_of(samples.real()), Naming({("arm", "raw"): "Q"}))
    assert "{" not in repr(named).replace("{}", "")
    plot = named.panels[0]
    assert "Q" in [mark.name for mark in plot.strips[0].marks if hasattr(mark, "name")]
    assert plot.ruler == figure_of(samples.real()).panels[0].ruler


def test_a_figure_without_tokens_is_unchanged():
    figure = figure_of(samples.autopsy())
    assert name_figure(figure, Naming()) == figure
