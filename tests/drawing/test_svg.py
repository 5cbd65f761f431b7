"""The only place where markup is written."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.drawing.svg import clean, element, number, polygon, polyline


@given(st.text(), st.text())
def test_any_text_survives_as_text(inside, attribute):
    root = tree.fromstring(element("text", {"data-name": attribute}, clean(inside)))
    assert len(root) == 0
    shown = "".join(root.itertext()).replace("\r", "\n")
    assert len(shown) >= len(inside.replace("\r\n", "\n").strip("\x00")) - inside.count("\r\n")


def test_characters_that_xml_cannot_hold_are_replaced():
    assert clean("a\x00b\ud800c\uffff") == "a\ufffdb\ufffdc\ufffd"


def test_an_attribute_without_value_is_left_out():
    assert element("line", {"x1": 1.0, "rx": None}) == '<line x1="1"/>'


@pytest.mark.parametrize(("value", "shown"), [(1.0, "1"), (1.26, "1.3"), (-0.5, "-0.5"), (100.0, "100")])
def test_a_coordinate_has_a_tenth_at_most(value, shown):
    assert number(value) == shown


def test_a_missing_point_lifts_the_pen():
    x = np.arange(5.0)
    assert polyline(x, np.array([1.0, 2.0, np.nan, 4.0, 10.0])) == "M0 1L1 2M3 4L4 10"


def test_a_band_goes_there_and_back_and_skips_what_is_missing():
    x, upper, lower = np.arange(4.0), np.array([1.0, 1, np.nan, 1]), np.array([3.0, 3, 3, 3])
    assert polygon(x, upper, lower) == "M0 1L1 1L1 3L0 3Z"
