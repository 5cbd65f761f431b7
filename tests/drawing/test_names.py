"""Names at line ends never lie on one another."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import pytest
import sample_answers as samples
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing import draw
from edgeshift.drawing.names import spread
from edgeshift.figures import figure_of


@given(st.lists(st.floats(0, 300), min_size=1, max_size=6))
def test_names_keep_apart_and_inside(wanted):
    centres = spread(wanted, [30.0] * len(wanted), 0.0, 300.0)
    ordered = sorted(centres)
    assert ordered[0] >= 15 - 1e-6 and ordered[-1] <= 285 + 1e-6
    assert all(later - sooner >= 30 - 1e-6 for sooner, later in zip(ordered, ordered[1:], strict=False))


def test_names_without_room_reach_down_and_never_up_into_the_sentence():
    assert spread([1.0, 2.0], [30.0, 30.0], 0.0, 20.0) == pytest.approx([15.0, 45.0])


def test_names_that_have_room_stay_where_they_are():
    assert spread([50.0, 200.0], [30.0, 30.0], 0.0, 300.0) == pytest.approx([50.0, 200.0])


def test_names_keep_the_order_of_their_lines():
    centres = spread([101.0, 100.0], [30.0, 30.0], 0.0, 300.0)
    assert centres[0] > centres[1]


def test_a_strip_that_cuts_its_band_says_so_in_whole_words_on_a_phone():
    texts = [text.text for text in tree.fromstring(draw(figure_of(samples.blind()), 390)).iter()]
    shown = " ".join(text for text in texts if text)
    assert "…" not in shown and "the band is taller" in shown
