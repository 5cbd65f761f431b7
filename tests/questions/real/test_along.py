"""How much of what differs is a change of offset, slope, height or slide."""

from __future__ import annotations

import numpy as np
import pytest
from invented import ENERGY, curve, edge_set, experiment

from edgeshift.questions.real.along import along
from edgeshift.questions.real.nest import nest
from edgeshift.records.once import Once
from edgeshift.records.scan import Place

UNITS = {"raw": [("R1", "A"), ("R2", "B"), ("R3", "C")], "fired": [("F1", "A"), ("F2", "B"), ("F3", "C")]}
BUMP = np.exp(-(((ENERGY - 1590) / 1.0) ** 2))


def of(rows: dict[str, np.ndarray], paired: bool = False) -> dict:
    """What is found of one curve a unit."""
    units = UNITS if paired else {arm: [(u, None) for u, _ in listed] for arm, listed in UNITS.items()}
    arms = {unit: arm for arm, listed in units.items() for unit, _ in listed}
    found = edge_set([(Place(unit, "1", unit, arms[unit]), [row]) for unit, row in rows.items()])
    return along(nest(found, experiment(units), ("raw", "fired"), None, Once(None)))


def apart(by, names="R1 R2 R3 F1 F2 F3") -> dict[str, np.ndarray]:
    """A curve a unit, each changed by `by` of its number."""
    return {name: by(number) for number, name in enumerate(names.split())}


@pytest.mark.parametrize(
    ("by", "mainly"),
    [
        (lambda k: (1 + 0.1 * k) * curve(1.0), "height-slide"),
        (lambda k: curve(1.0, 0.01 * k), "height-slide"),
        (lambda k: curve(1.0) + 0.1 * k, "offset-slope"),
        (lambda k: curve(1.0) + 0.1 * k * (ENERGY - 1581) / 60, "offset-slope"),
    ],
)
def test_scatter_along_one_direction_is_found_and_named(by, mainly):
    found = of(apart(by))
    assert found["scatter"]["share"] > 0.98 and found["difference"]["share"] > 0.98
    assert found["scatter"]["mainly"] == found["difference"]["mainly"] == mainly


def test_a_change_of_shape_lies_along_none_of_them():
    found = of(apart(lambda k: curve(1.0) + 0.1 * k * BUMP))
    assert found["scatter"]["share"] < 0.3 and found["difference"]["share"] < 0.3


def test_what_a_pair_shares_is_no_scatter_of_its_gaps():
    """The pairs differ in height, both halves alike; their gaps differ by a bump."""
    rows = {
        f"{arm}{k}": (1 + 0.2 * k) * curve(1.0) + (arm == "F") * 0.1 * k * BUMP
        for arm in "RF"
        for k in (1, 2, 3)
    }
    assert of(rows)["scatter"]["share"] > 0.9
    assert of(rows, paired=True)["scatter"]["share"] < 0.3


def test_without_any_scatter_or_difference_there_is_no_share():
    assert of(apart(lambda k: curve(1.0))) == {"scatter": None, "difference": None}
