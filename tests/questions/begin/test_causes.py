"""Two isolations: what they say together, and when they say nothing."""

import math

import pytest

from edgeshift.numerics.pumping import Rise
from edgeshift.questions.begin.causes import TimedRise, rises


def shut(at, rate, sigma=0.0):
    return TimedRise(at, Rise(rate, sigma))


@pytest.mark.parametrize(
    ("isolations", "told"),
    [
        ([], "none"),
        ([shut(10, 1.0)], "one"),
        ([shut(10, 1.0), shut(12, 1.0)], "soon"),
        ([shut(10, 1.0), shut(30, 1.0)], "same"),
        ([shut(10, 1.0), shut(30, 0.33)], "less"),
        ([shut(10, 1.0), shut(30, math.sqrt(1 / 3))], "unclear"),
        ([shut(10, 1.0), shut(30, 0.7)], "unclear"),
        ([shut(10, 1.0, 0.3), shut(30, 1.0, 0.3)], "unclear"),
        ([shut(10, 0.0), shut(30, 1.0)], "unclear"),
    ],
)
def test_a_leak_keeps_its_rate_and_outgassing_tires(isolations, told):
    assert rises(isolations, 0.0) == told


def test_minutes_pumped_before_the_log_bring_isolations_closer():
    assert rises([shut(10, 1.0), shut(30, 1.0)], 60.0) == "soon"
