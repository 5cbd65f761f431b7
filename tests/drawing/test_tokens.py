"""Every arm can be told without colour, in light and in dark."""

from __future__ import annotations

from itertools import permutations

import pytest

from edgeshift.drawing.tokens import DARK, LIGHT, OPEN, THEMES, blend, curtain_looks, luminance
from edgeshift.records.figure import ARM_ROLES


def contrast(one: str, other: str) -> float:
    """WCAG 2.2 contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", THEMES.values(), ids=list(THEMES))
def test_the_control_is_the_tone_nearest_to_ink(theme):
    tones = [contrast(getattr(theme, OPEN[role].stroke), theme.sheet) for role in ("control", "treated")]
    assert tones[0] > 1.5 * tones[1]
    assert contrast(theme.ink, theme.sheet) > tones[0]


@pytest.mark.parametrize("theme", THEMES.values(), ids=list(THEMES))
@pytest.mark.parametrize("looks", [OPEN, curtain_looks([1, 0])], ids=["open", "curtain"])
def test_marker_dash_and_texture_part_all_four_arms(theme, looks):
    arms = [looks[role] for role in ARM_ROLES]
    for sign in ("marker", "dash", "texture"):
        assert len({getattr(look, sign) for look in arms}) == 4, sign
    for look in arms:
        assert contrast(getattr(theme, look.stroke), theme.sheet) >= 3.0


@pytest.mark.parametrize(
    ("token", "light", "dark"),
    [("ink", 15.9, 15.9), ("ink2", 7.7, 9.7), ("line", 3.9, 5.2), ("indigo", 10.1, 11.2), ("ember", 5.7, 6.5),
     ("plum", 9.6, 8.7), ("pencil", 4.2, 6.7)],
)  # fmt: skip
def test_contrasts_are_those_the_look_was_chosen_for(token, light, dark):
    assert contrast(getattr(LIGHT, token), LIGHT.sheet) == pytest.approx(light, abs=0.15)
    assert contrast(getattr(DARK, token), DARK.sheet) == pytest.approx(dark, abs=0.15)


def test_luminance_of_black_and_white():
    assert (luminance("#000000"), luminance("#FFFFFF")) == (0.0, pytest.approx(1.0))


def test_tints_multiply_on_light_and_screen_on_dark():
    assert blend("#808080", "#FF8000", False) == "#804000"
    assert blend("#808080", "#FF8000", True) == "#FFC080"
    light = luminance(blend(LIGHT.control_fill, LIGHT.treated_fill, False))
    assert light < min(luminance(LIGHT.control_fill), luminance(LIGHT.treated_fill))


@pytest.mark.parametrize("lot", list(permutations(range(2))))
def test_behind_a_curtain_the_lot_deals_the_signs(lot):
    looks = curtain_looks(lot)
    assert looks["control"].marker == ("box", "triangle")[lot[0]]
    assert {look.stroke for look in looks.values()} <= {"ink", "ink2", "line"}
