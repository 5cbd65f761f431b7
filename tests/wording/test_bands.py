"""What two bands are of, and what they cannot show, in words."""

from __future__ import annotations

import pytest

from edgeshift.wording import bands as words

SHARE = {"share": 0.64, "mainly": "height-slide"}
LITTLE = {"share": 0.2, "mainly": "height-slide"}


def detail(judged_by="curve", paired=False, **changes) -> dict:
    curves = {"band_of": "units", "judged": True, "shape": {"value": []}, "passed": [], "beyond": {}}
    curves |= {"single_residual": False, "along": {"scatter": LITTLE, "difference": LITTLE}}
    return {"judged_by": judged_by, "paired": paired, "curves": curves | changes}


def test_each_band_says_what_it_is_of_and_whether_it_leaves_zero():
    assert words.what("full", True, "Q minus P") == "full band: Q minus P, at every energy; it leaves zero"
    told = [words.what("shape", left, "Q minus P") for left in (False, None)]
    assert told[0].endswith("not where the difference lies; it holds zero everywhere")
    assert told[1].endswith("not where the difference lies"), "nobody looked"


def test_the_strip_of_the_difference_names_both_arms():
    assert words.difference_title("raw", "fired") == "difference: {arm:fired} minus {arm:raw}, same scale"


@pytest.mark.parametrize(
    ("cut", "left", "note"),
    [
        (False, False, ""),
        (True, False, "the band is taller than this strip"),
        (False, True, "bars: its band leaves zero"),
        (True, True, "the band is taller than this strip; bars: its band leaves zero"),
    ],
)
def test_a_note_says_of_a_band_that_it_is_cut_or_leaves_zero(cut, left, note):
    assert words.strip_note(cut, left) == note


@pytest.mark.parametrize(
    ("stretches", "told"),
    [
        (1, "its band leaves zero, farthest at 1566.2 eV"),
        (2, "its band leaves zero, farthest at 1566.2 eV and in one more stretch"),
        (12, "its band leaves zero, farthest at 1566.2 eV and in 11 more stretches"),
    ],
)
def test_where_a_band_leaves_zero_is_said(stretches, told):
    beyond = {"full": {"farthest_ev": 1566.2, "stretches": [[1.0, 2.0]] * stretches}}
    curves = detail(beyond=beyond)["curves"]
    assert words.left_zero("full", curves) == told
    assert words.left_zero("shape", curves) == "its band holds zero everywhere"


def test_nothing_is_softened_that_needs_no_softening():
    assert words.softer(detail()) == []
    assert words.softer({"judged_by": "curve", "paired": False, "curves": None}) == []


def test_scatter_along_two_directions_names_them():
    (said,) = words.softer(detail(along={"scatter": SHARE, "difference": LITTLE}))
    assert said.startswith("Height or slide differ from unit to unit: with offset and slope they make 64 %")
    assert said.endswith("A change of height or slide is one number per unit; declare it.")
    other = {"share": 0.64, "mainly": "offset-slope"}
    (said,) = words.softer(detail(along={"scatter": other, "difference": LITTLE}))
    assert said.startswith("Offset or slope differ from unit to unit: with height and slide")


def test_scatter_of_units_that_are_not_the_ones_shown_is_not_spoken_of():
    assert words.softer(detail(band_of="spots", along={"scatter": SHARE, "difference": LITTLE})) == []


def test_the_shape_band_is_called_blind_only_where_it_saw_nothing():
    mostly = {"scatter": None, "difference": SHARE}
    (said,) = words.softer(detail(along=mostly))
    assert said == (
        "What difference there is lies mainly along height or slide. "
        "With offset and slope they make 64 % of it: the shape band is blind to that by design."
    )
    assert words.softer(detail(along=mostly, passed=["shape"])) == []
    assert words.softer(detail(along=mostly, shape=None)) == []


def test_one_degree_of_freedom_is_said_of_pairs_and_of_repeats():
    (pairs,) = words.softer(detail(paired=True, single_residual=True))
    assert pairs.startswith("Two pairs know") and pairs.endswith("A third pair helps much.")
    (repeat,) = words.softer(detail(band_of="scans", paired=True, single_residual=True))
    assert repeat.startswith("Two repeats know") and repeat.endswith("A third repeat helps much.")


def test_a_declared_feature_is_softened_only_for_what_the_picture_shows():
    along = {"scatter": SHARE, "difference": SHARE}
    assert len(words.softer(detail(along=along, single_residual=True))) == 3
    (said,) = words.softer(detail("feature", along=along, single_residual=True))
    assert "only a gross change can show" in said


@pytest.mark.parametrize("mainly", ["height-slide", "offset-slope"])
def test_every_softer_sentence_is_short(mainly):
    part = {"share": 0.7, "mainly": mainly}
    for said in words.softer(detail(along={"scatter": part, "difference": part}, single_residual=True)):
        for sentence in said.rstrip(".").split(". "):
            assert len(sentence.split()) <= 20
