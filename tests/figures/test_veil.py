"""An answer told as if nobody knew the control."""

from __future__ import annotations

from dataclasses import replace

import sample_answers as samples

from edgeshift.figures import lot_of, veiled


def test_the_first_of_the_lot_takes_the_place_of_the_control():
    hidden = veiled(samples.real(), ["fired", "raw"]).detail
    assert (hidden["control"], hidden["treated"]) == ("fired", ["raw"])
    plain = samples.curves()
    assert hidden["curves"]["control"] == plain["treated"]
    assert hidden["curves"]["difference"]["low"] == [-high for high in plain["difference"]["high"]]
    feature = hidden["feature"]
    assert (feature["difference"], feature["low"], feature["high"]) == (-0.63, -0.76, -0.5)


def test_where_the_lot_keeps_the_order_the_numbers_stay():
    answer = samples.real()
    assert veiled(answer, ["raw", "fired"]).detail == answer.detail


def test_an_end_that_is_not_known_stays_unknown():
    curve = {"value": [1.0, None], "low": [0.5, None], "high": [1.5, None]}
    plain = samples.real()
    curves = plain.detail["curves"] | {"difference": curve, "shape": None}
    hidden = veiled(replace(plain, detail={**plain.detail, "curves": curves}), ["fired", "raw"])
    assert hidden.detail["curves"]["difference"] == {
        "value": [-1.0, None],
        "low": [-1.5, None],
        "high": [-0.5, None],
    }
    assert hidden.detail["curves"]["shape"] is None


def test_the_sentence_is_told_anew_in_the_order_of_the_lot():
    more = {"treated_arms": 1, "units": {"raw": 3, "fired": 3}, "judged_by": "curve", "lit_by": {}}
    answer = samples.real(**more, sentence="Beyond the scatter of their units, {arm:fired} differs.")
    said = veiled(answer, ["fired", "raw"])
    assert said.sentence == "Beyond the scatter of their units, {arm:raw} differs from {arm:fired}."
    assert list(said.detail["units"]) == ["fired", "raw"]


def test_each_arm_wears_the_look_that_it_drew():
    assert lot_of(veiled(samples.real(), ["fired", "raw"]), ["fired", "raw"])[:2] == (0, 1)
    order = ["smoked", "fired", "slow fire", "raw"]
    hidden = veiled(samples.four_arms(), order)
    assert (hidden.detail["control"], hidden.detail["treated"]) == ("fired", ["raw", "smoked", "slow fire"])
    assert lot_of(hidden, order) == (1, 3, 0, 2)


def test_other_answers_stay_as_they_are():
    for answer in (samples.overview(), samples.autopsy(), samples.empty()):
        assert veiled(answer, ["fired", "raw"]) == answer
    assert sorted(lot_of(samples.overview(), ["fired", "raw"])) == [0, 1, 2, 3]
