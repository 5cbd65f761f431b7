"""Why two scans differ, as data."""

from __future__ import annotations

from dataclasses import replace

import sample_answers as samples

from edgeshift.figures.compare_two import figure
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Band, Line
from edgeshift.wording.figures import printed


def test_the_main_cause_is_the_only_one_marked():
    causes = figure(samples.autopsy()).panels[1]
    assert [row.name for row in causes.rows if row.main] == ["slide in energy"]
    assert (
        "slide in energy: \u22120.118, give or take 0.016 eV, the main cause" in figure(samples.autopsy()).alt
    )


def test_a_range_holds_its_share_and_never_goes_below_nothing():
    for row in figure(samples.autopsy()).panels[1].rows:
        assert 0 <= row.low <= row.value <= row.high


def test_a_part_that_makes_the_pair_less_alike_is_drawn_as_nothing():
    parts = [{"code": "gain", "value": -0.1, "sigma": 0.01, "unit": None, "share": -0.4}]
    taken = {"parts": parts, "main": "gain"}
    (causes,) = figure(Answer("trust", "all-kept", "They differ.", detail={"autopsy": taken})).panels
    assert (causes.rows[0].low, causes.rows[0].value, causes.rows[0].high) == (0.0, 0.0, 0.0)
    assert not causes.rows[0].main


def test_the_pair_stands_in_its_bands_above_what_is_left():
    upper, lower = figure(samples.autopsy()).panels[0].strips
    assert [mark.role for mark in upper.marks if isinstance(mark, Band)] == ["control", "treated"]
    assert [mark.name for mark in upper.marks if isinstance(mark, Line)] == ["scan 3", "scan 8"]
    assert lower.zero and lower.low < 0 < lower.high


def test_a_part_without_a_number_is_not_known():
    taken = {
        "parts": [{"code": "blur", "value": None, "sigma": None, "unit": "eV", "share": 0.1}],
        "main": None,
    }
    (causes,) = figure(Answer("trust", "all-kept", "They differ.", detail={"autopsy": taken})).panels
    assert causes.rows[0].words == "not known"


def test_without_parts_it_cannot_tell():
    (blank,) = figure(Answer("trust", "all-kept", "They differ.", detail={"autopsy": {"parts": []}})).panels
    assert blank.state == "cannot-tell"


def test_a_share_is_never_more_than_the_whole():
    parts = [{"code": "slide", "value": 0.3, "sigma": 0.1, "unit": "eV", "share": 1.7}]
    taken = {"parts": parts, "main": "slide"}
    told = figure(Answer("trust", "all-kept", "They differ.", detail={"autopsy": taken}))
    row = told.panels[0].rows[0]
    assert (row.value, row.high) == (1.0, 1.0) and told.panels[0].ruler.high == 1.0
    assert "1.7" not in told.alt


def test_tiny_parts_have_powers_of_ten_and_the_unit_in_words():
    parts = [{"code": "offset", "value": -6e-13, "sigma": 4e-13, "unit": "ratio", "share": 0.5}]
    taken = {"parts": parts, "main": "offset"}
    (causes,) = figure(Answer("trust", "all-kept", "They differ.", detail={"autopsy": taken})).panels
    assert printed("0e+00") == "0"
    told = causes.rows[0].words.replace("\u00a0", " ")
    assert told == "\u22126.0 × 10^\u221213, give or take 8.0 × 10^\u221213 of signal ÷ beam"


def test_the_pair_and_the_words_name_the_edge():
    told = figure(samples.autopsy())
    assert told.panels[0].ruler.words.endswith("at Al K") and "at Al K" in told.alt


def test_findings_are_told_with_their_scan_and_next_act_and_the_rest_counted():
    told = figure(samples.autopsy_found())
    first, second = told.notes
    assert first.words.startswith("**{scan:scan 8}:** Since {scan:scan 5} everything slid")
    assert first.act == "Check a standard, then tie it with a cited value."
    assert second.words.startswith("**{scan:scan 8}:** Its yield sags")
    assert second.act.endswith("cited value. And one more finding.")
    assert "damage?" in told.alt and "Its yield sags" in told.alt


def test_a_finding_about_both_scans_names_neither():
    bare = samples.autopsy_found()
    detail = {**bare.detail, "findings": bare.detail["findings"][2:]}
    (note,) = figure(replace(bare, detail=detail)).notes
    assert note.words == "Two scans of one spot change shape by 8 %, give or take 2: damage?"


def test_two_scans_of_which_nothing_was_found_have_no_notes():
    assert figure(samples.autopsy()).notes == ()


def words_of(code: str, value: float, sigma: float | None, unit: str | None, chi2_nu=None) -> str:
    part = {"code": code, "value": value, "sigma": sigma, "unit": unit, "share": 0.5}
    taken = {"parts": [part], "main": code, "chi2_nu": chi2_nu}
    (causes,) = figure(Answer("trust", "all-kept", "They differ.", detail={"autopsy": taken})).panels
    return causes.rows[0].words.replace("\u00a0", " ")


def test_a_gain_is_told_in_percent_with_its_sign_as_the_text_tells_it():
    assert words_of("gain", 0.204, 0.014, None) == "+20.4, give or take 2.8 %"
    assert words_of("gain", -0.204, 0.014, None) == "\u221220.4, give or take 2.8 %"


def test_a_part_that_was_not_asked_for_is_none_with_its_give_or_take():
    assert words_of("slide", 0.0, 0.009, "eV") == "none, give or take 0.018 eV"


def test_what_is_left_is_told_beside_noise():
    assert words_of("left", 0.011, None, "step", 9.6) == "0.011 edge steps, 3.1 times noise"
    assert words_of("left", 0.011, None, "step", 0.7) == "0.011 edge steps, no more than noise"
