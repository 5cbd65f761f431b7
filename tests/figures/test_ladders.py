"""The three rungs as data."""

from __future__ import annotations

import sample_answers as samples

from edgeshift.figures.ladders import ladder, roles


def test_every_scan_spot_and_unit_is_a_dot():
    rungs = {rung.code: rung for rung in ladder(samples.real().detail).rungs}
    counts = {code: sum(len(row.dots) for row in rung.rows) for code, rung in rungs.items()}
    assert counts == {"scans": 18, "spots": 12, "units": 6}


def test_rungs_are_read_from_the_bottom_with_rows_in_one_order():
    rungs = ladder(samples.real().detail).rungs
    assert [rung.code for rung in rungs] == ["scans", "spots", "units"]
    assert [[row.name for row in rung.rows] for rung in rungs] == [["A", "B", "C"]] * 3


def test_only_the_top_rung_joins_and_names():
    rungs = ladder(samples.real().detail).rungs
    assert [(rung.joined, rung.named) for rung in rungs] == [(False, False), (False, False), (True, True)]


def test_units_that_were_not_split_before_treating_are_not_joined():
    top = ladder(samples.unpaired().detail).rungs[2]
    assert not top.joined
    assert [row.name for row in top.rows][:2] == ["{unit:RAW-A}", "{unit:RAW-B}"]
    assert len(top.rows) == 7 and all(len(row.dots) == 1 for row in top.rows)


def test_a_rung_that_cannot_be_tested_has_no_dots_and_says_why():
    top = ladder(samples.mixed().detail).rungs[2]
    assert (top.state, top.rows, top.words) == ("cannot-test", (), "one pot each: no test")


def test_a_rung_not_shown_says_what_would_have_shown_and_keeps_its_dots():
    middle = ladder(samples.mixed().detail).rungs[1]
    assert middle.state == "not-shown" and "0.21" in middle.words and middle.rows


def test_without_a_feature_there_is_no_ruler_and_the_foot_says_so():
    bare = ladder(samples.real(feature=None, declared="after").detail)
    assert bare.ruler is None and bare.stamp == "found after"
    assert bare.reading == "no feature named: judged by the whole curve"
    assert not any(row.dots for rung in bare.rungs for row in rung.rows)


def test_the_ruler_holds_every_dot_between_round_ends():
    found = ladder(samples.real().detail)
    values = [dot.value for rung in found.rungs for row in rung.rows for dot in row.dots]
    assert found.ruler.low <= min(values) and max(values) <= found.ruler.high
    assert round(found.ruler.low, 6) == 0.2
    assert found.ruler.words == "height at 1566.2 ÷ at 1568.2 eV"


def test_rungs_judged_by_the_curve_say_so_beside_their_dots():
    found = ladder(samples.real(judged_by="curve", declared="after").detail)
    assert found.reading.endswith("; rungs judged by the whole curve")


def test_values_that_are_missing_are_not_drawn():
    dots = samples.dots({"raw": 2, "fired": 2})
    dots[0]["value"] = None
    top = ladder(samples.real(dots=dots).detail).rungs[2]
    assert [len(row.dots) for row in top.rows] == [1, 2]


def test_roles_follow_the_order_of_the_arms():
    assert roles({"control": "raw", "treated": ["a", "b"]}) == {
        "raw": "control",
        "a": "treated",
        "b": "third",
    }


def test_the_reading_has_no_finer_digits_than_its_ends_allow():
    assert ladder(samples.real().detail).reading == "difference +0.63, between +0.50 and +0.76"


FOUND = {"energy_ev": 1566.4, "words": "height at 1566.4 eV, where they differ most", "unit": "edge steps"}


def test_without_a_feature_the_dots_read_the_height_that_was_found():
    answer = samples.real(feature=None, found=FOUND, declared="after", judged_by="curve")
    found = ladder(answer.detail)
    assert [sum(len(row.dots) for row in rung.rows) for rung in found.rungs] == [18, 12, 6]
    assert found.ruler.words == "height at 1566.4 eV, where they differ most, in edge steps"
    assert found.stamp == "found after"


def shown(**changes) -> str:
    states = {"scans": "lit", "spots": "lit", "units": "not-shown"}
    answer = samples.real(rungs=states, would_have_shown={"units": 0.12}, **changes)
    return ladder(answer.detail).rungs[2].words


def test_what_would_have_shown_has_the_unit_of_what_judged():
    feature = samples.real().detail["feature"]
    assert shown(judged_by="feature") == "not shown; 0.12 in this ratio would have"
    area = feature | {"unit": "edge steps × eV"}
    assert shown(feature=area) == "not shown; 0.12 edge steps × eV would have"
    by_curve = "not shown; 0.12 edge steps where they differ most would have"
    assert shown(judged_by="curve") == by_curve
    bare = shown(feature=None, found=FOUND, judged_by="curve")
    assert bare == "not shown; 0.12 edge steps would have"


FROZEN = {"frozen": "The third rung is frozen.", "looks": [{"units": 2}], "next_look_at": 3}


def test_a_frozen_rung_says_since_when_and_when_it_is_judged_next():
    top = ladder(samples.real(**FROZEN).detail).rungs[2]
    assert (top.state, top.words) == ("lit", "frozen at two pairs; judged next at three")
    done = samples.real(**FROZEN | {"next_look_at": None}, paired=False)
    assert ladder(done.detail).rungs[2].words == "frozen at two units; every planned look is taken"


def test_a_frozen_rung_keeps_what_would_have_shown_and_the_others_say_nothing():
    told = shown(judged_by="feature", **FROZEN)
    assert told == "not shown; 0.12 in this ratio would have; frozen at two pairs; judged next at three"
    assert [rung.words for rung in ladder(samples.real(**FROZEN).detail).rungs[:2]] == ["", ""]


def test_a_rung_judged_by_all_that_is_shown_wears_no_such_words():
    assert ladder(samples.real(frozen=None, looks=[{"units": 3}]).detail).rungs[2].words == ""
