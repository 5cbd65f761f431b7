"""Scans on their shelf, and one trace with its flags."""

from __future__ import annotations

import math

import pytest
import sample_answers as samples

from edgeshift.figures.trust import figure
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Band, Blank, FlagMark, Line, Shelf
from edgeshift.wording.figures import SHORT_REASONS, found_in_shift
from edgeshift.wording.trust import REASONS


def parts(kind: type) -> list:
    return [mark for mark in figure(samples.trace()).panels[0].strips[0].marks if isinstance(mark, kind)]


def test_every_scan_stands_on_the_shelf_of_its_edge():
    (shelf,) = figure(samples.overview()).panels
    assert isinstance(shelf, Shelf)
    assert {row.name: len(row.ticks) for row in shelf.rows} == {
        "Al K": 18, "Fe L": 12, "K L": 6, "Ti L": 6, "Si K": 4,
    }  # fmt: skip
    assert shelf.rows[0].tally == "16 kept, 1 with a note, 2 set aside"


def test_what_is_set_aside_keeps_its_place_and_its_reason():
    tick = figure(samples.overview()).panels[0].rows[0].ticks[8]
    assert (tick.scan, tick.state) == ("{scan:scan 9}", "set-aside")
    assert tick.words == "the beam dropped at 1571 eV"
    assert "the beam dropped at 1571 eV" in figure(samples.overview()).alt


def test_a_doubted_point_stays_visible_where_the_line_breaks():
    (line,), flags = parts(Line), parts(FlagMark)
    assert len(flags) == 3
    for flag in flags:
        assert math.isfinite(flag.y)
        assert math.isnan(line.y[line.x.index(flag.x)])


def test_one_cause_is_named_once():
    assert [flag.words for flag in parts(FlagMark)] == [
        "one blip, as fresh electrons came in",
        "",
        "at its ceiling",
    ]


def test_the_band_runs_on_beneath_a_doubted_point():
    (band,), (line,) = parts(Band), parts(Line)
    assert all(math.isfinite(value) for value in band.low + band.high)
    middle = [(low + high) / 2 for low, high in zip(band.low, band.high, strict=True)]
    known = [place for place, value in enumerate(line.y) if math.isfinite(value)]
    assert [middle[place] for place in known] == pytest.approx([line.y[place] for place in known])


def test_a_scan_that_ran_downwards_is_drawn_by_rising_energy():
    up = samples.trace()
    down = {**up.detail["trace"]}
    for name in ("energy_ev", "value", "sigma"):
        down[name] = down[name][::-1]
    turned = Answer("trust", "all-kept", up.sentence, up.edge, detail={"scans": {}, "trace": down})
    assert figure(turned).panels == figure(up).panels


def test_a_shift_without_scans_says_what_to_do():
    (blank,) = figure(Answer("trust", "cannot-tell", "Nothing here yet.", detail={"scans": {}})).panels
    assert isinstance(blank, Blank) and blank.state == "empty" and blank.act


def entry(scan: str, verdict: str, *codes: str, **more) -> dict:
    told = [{"code": code, "sentence": f"{code} near 1570.8 eV."} for code in codes]
    return {"scan": scan, "edge": "Al K", "verdict": verdict, "by": "tool", "reasons": told, **more}


def shelf_of(*entries: dict) -> Shelf:
    scans = {f"{place}.dat": one for place, one in enumerate(entries)}
    return figure(Answer("trust", "some-set-aside", "Some.", detail={"scans": scans})).panels[0]


def test_reasons_are_gathered_over_scans_and_what_is_set_aside_comes_first():
    (row,) = shelf_of(
        entry("a", "keep-with-a-note", "spike", "injection"),
        entry("b", "set-aside", "gap", "spike"),
        entry("c", "keep-with-a-note", "spike"),
    ).rows
    assert [(one.words, one.state, one.scans) for one in row.reasons] == [
        ("a gap in its energies", "set-aside", ("{scan:b}",)),
        ("a blip, left out", "keep-with-a-note", ("{scan:a}", "{scan:c}")),
        ("fresh electrons, points left out", "keep-with-a-note", ("{scan:a}",)),
    ]


def test_what_only_several_scans_show_stands_before_a_blip():
    (row,) = shelf_of(
        entry("a", "keep-with-a-note", "spike", "charging"), entry("b", "set-aside", "gap")
    ).rows
    assert [one.words for one in row.reasons] == [
        "a gap in its energies",
        "its yield sags: charging",
        "a blip, left out",
    ]


def finding(code: str, *scans: str) -> dict:
    return {
        "code": code,
        "sentence": f"Said of {code}.",
        "next": "Look.",
        "scans": list(scans),
        "numbers": {},
    }


def test_what_no_single_row_can_tell_stands_above_the_shelf():
    scans = {"a.dat": entry("a", "keep"), "b.dat": entry("b", "keep") | {"edge": "K L"}}
    findings = [
        finding("labels-swapped", "a", "b"),
        finding("charging", "a"),
        finding("order-confounded"),
        finding("dead-time-beside"),
    ]
    detail = {"scans": scans, "findings": findings}
    told = figure(Answer("trust", "all-kept", "All.", detail=detail))
    assert [(note.words, note.act) for note in told.notes] == [
        ("**{scan:a} and one more:** Said of labels-swapped.", "Look."),
        ("Said of order-confounded.", "Look."),
    ]
    assert "Said of order-confounded." in told.alt


def test_a_finding_that_names_its_first_scan_is_not_named_twice():
    said = "Since {scan:a} everything slid."
    assert found_in_shift(said, ["a", "b"]) == said


def test_a_copy_stands_on_the_shelf_and_is_no_scan_more():
    (row,) = shelf_of(
        entry("a", "keep"),
        entry("a", "set-aside", "duplicate", copy_of="0.dat"),
        entry("b", "set-aside", "gap"),
    ).rows
    assert row.tally == "1 kept, 1 set aside, 1 copy" and len(row.ticks) == 3


def test_every_reason_has_short_words_but_those_in_peoples_own():
    assert set(REASONS) - set(SHORT_REASONS) == {"doubt", "judged"}


def test_one_trace_names_its_edge():
    told = figure(samples.trace())
    assert told.panels[0].ruler.words == "photon energy, eV, at Fe L" and "at Fe L" in told.alt
