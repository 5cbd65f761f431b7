"""What is called one: the edge step where the curve has a level above the edge, else its area."""

from __future__ import annotations

import numpy as np
import pytest
from invented import ENERGY, curve, scan

from edgeshift.recipe.knobs import Recipe
from edgeshift.reduction.pipeline import flagged, reduce_edge

RECIPE = Recipe()


def reduced(value: np.ndarray, noise: float):
    noisy = value + noise * np.random.default_rng(5).standard_normal(value.size)
    return reduce_edge("Al K", flagged([scan("scan-001", 0.5 + noisy)], RECIPE), RECIPE, frozenset()).spots[0]


PAST_THE_LINE_EV = np.maximum(ENERGY - 1568.0, 0.0)


@pytest.mark.parametrize(
    ("value", "way"),
    [
        (curve(8.0) * np.exp(-PAST_THE_LINE_EV / 10.0), "falls"),
        (0.05 * curve(8.0) + 0.03 * PAST_THE_LINE_EV, "rises"),
    ],
)
def test_a_curve_that_never_levels_off_has_no_usable_step(value: np.ndarray, way: str) -> None:
    """Where a mere tail is called one, everything else looks many times too tall."""
    found = reduced(value, noise=0.001)
    assert found.unit == "area"
    assert any(f"the curve {way} by" in doubt and "without a level" in doubt for doubt in found.doubts)


def test_wiggles_and_a_mild_slope_above_the_edge_leave_the_step_usable() -> None:
    value = curve(2.0) * (1.0 - 0.15 * np.clip((ENERGY - 1568.0) / 44.0, 0.0, 1.0))
    found = reduced(value + 0.05 * np.sin(ENERGY / 3.0) * (ENERGY > 1568), noise=0.01)
    assert (found.unit, found.doubts) == ("step", ())


def test_noise_alone_does_not_take_the_level_away() -> None:
    """Sixty points of 0.4 step each: the mean is known to 0.06, the change over the stretch to 0.2."""
    assert reduced(curve(0.5), noise=0.4).unit == "step"
