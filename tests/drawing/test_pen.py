"""Powers of ten stand raised, and nothing else does."""

from __future__ import annotations

from edgeshift.drawing.page import STAGE
from edgeshift.drawing.pen import Pen
from edgeshift.drawing.tokens import LIGHT


def written(words: str) -> str:
    pen = Pen(LIGHT, STAGE)
    pen.text((0.0, 0.0), words, 20.0)
    return pen.marks[0].split(">", 1)[1].removesuffix("</text>")


def test_a_power_of_ten_is_small_and_high_and_what_follows_is_not():
    told = written("1 × 10^\u221210 of it, <2 × 10^5")
    assert told == (
        '1 × 10<tspan font-size="17" dy="-7.2">\u221210</tspan><tspan dy="7.2"> of it, &lt;2 × 10</tspan>'
        '<tspan font-size="17" dy="-7.2">5</tspan>'
    )


def test_other_words_stay_as_they_are():
    assert written("2^4 and 10^x & 10") == "2^4 and 10^x &amp; 10"
