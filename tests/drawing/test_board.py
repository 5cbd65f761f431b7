"""Small ladders on every width."""

from __future__ import annotations

import xml.etree.ElementTree as tree

import pytest
import sample_answers as samples

from edgeshift.drawing import draw
from edgeshift.figures import summary


@pytest.mark.parametrize("width", [1280, 900, 390])
def test_no_verdict_is_cut(width):
    shown = " ".join(tree.fromstring(draw(summary(samples.edges()), width)).itertext())
    texts = [text.text for text in tree.fromstring(draw(summary(samples.edges()), width)).iter()]
    assert "…" not in shown
    assert "beyond repeat scans" in texts or {"beyond repeat", "scans"} <= set(texts)
