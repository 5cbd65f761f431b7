"""The fan on paper: dots, two tints, a shore, a capsule; open where there is no end."""

import xml.etree.ElementTree as tree

import sample_answers

from edgeshift.drawing import draw
from edgeshift.drawing.fan import MOST_DOTS
from edgeshift.drawing.tokens import LIGHT
from edgeshift.figures import figure_of

SVG = "{http://www.w3.org/2000/svg}"


def drawn(answer, width=1280):
    return tree.fromstring(draw(figure_of(answer), width))


def fills(root):
    return [part.get("fill") for part in root.iter()]


def test_both_tints_and_the_capsule_are_there_with_a_forecast():
    found = fills(drawn(sample_answers.pumping()))
    assert LIGHT.fan_fill in found and LIGHT.fan_core in found and LIGHT.straw in found


def test_nothing_of_a_forecast_is_there_without_one():
    found = fills(drawn(sample_answers.no_forecast()))
    assert LIGHT.fan_fill not in found and LIGHT.straw not in found


def test_every_reading_of_a_short_log_is_a_dot_and_a_long_one_is_thinned():
    dots = [c for c in drawn(sample_answers.no_forecast()).iter(f"{SVG}circle") if c.get("fill") == LIGHT.ink]
    assert len(dots) == 3
    dense = sample_answers._pumping(2.1e-5 / sample_answers.np.arange(2.0, 1000.0))
    assert sum(c.get("fill") == LIGHT.ink for c in drawn(dense).iter(f"{SVG}circle")) == MOST_DOTS


def test_the_limits_words_stand_on_every_sheet():
    for width in (1280, 900, 390):
        said = "".join(drawn(sample_answers.pumping(), width).itertext())
        assert "the limit our host typed" in said and "Looks like: damp" in said
