"""The same numbers as tables."""

from __future__ import annotations

import pytest
import sample_answers as samples

from edgeshift.figures import figure_of, summary, tables_of
from edgeshift.figures.day_line import day_line
from edgeshift.figures.tables import MOST_ROWS
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Moment


def table(figure, title: str, full: bool = False):
    (one,) = [table for table in tables_of(figure, full) if table.title.startswith(title)]
    return one


def test_curves_stand_beside_one_another_with_both_ends_of_their_bands():
    curves = table(figure_of(samples.real()), "curves")
    assert curves.columns[:4] == ("energy, eV", "{arm:raw}", "{arm:raw}, low", "{arm:raw}, high")
    assert "difference: {arm:fired} minus {arm:raw}, same scale, low" in curves.columns
    assert len(curves.rows) <= MOST_ROWS and "of 320 rows" in curves.title
    for row in curves.rows:
        assert row[2] <= row[1] <= row[3]


def test_a_table_for_reading_holds_every_peak():
    full = table(figure_of(samples.real()), "curves", full=True)
    short = table(figure_of(samples.real()), "curves")
    for column in (1, 4, 7):
        highest = max(row[column] for row in full.rows)
        assert max(row[column] for row in short.rows) == pytest.approx(highest, abs=0.006)


def test_it_has_no_more_digits_than_the_band_earns():
    for row in table(figure_of(samples.blind()), "curves").rows:
        place = 7  # the difference, whose band is wider than one
        assert row[place] == round(row[place], 1)


def test_the_full_table_is_what_is_drawn():
    full = table(figure_of(samples.real()), "curves", full=True)
    assert len(full.rows) == 320 and full.title == "curves"
    assert [row[1] for row in full.rows] == samples.curves()["control"]["value"]


def test_a_doubted_point_breaks_the_line_and_is_told_with_its_cause():
    figure = figure_of(samples.trace())
    doubted = table(figure, "doubted points")
    assert doubted.rows[0][2] == "one blip, as fresh electrons came in"
    assert None in [row[1] for row in table(figure, "curves", full=True).rows]


def test_dots_stand_by_rung_from_the_top_with_their_names():
    rungs = table(figure_of(samples.real()), "rungs")
    assert rungs.rows[0][:3] == ("more than other units", "lit", "{unit:RAW-A}")
    assert rungs.columns[-1] == "value: height at 1566.2 ÷ at 1568.2 eV"
    empty = table(figure_of(samples.mixed()), "rungs").rows[0]
    assert empty == ("more than other units", "cannot be tested", "one pot each: no test", None)


def test_scans_stand_with_their_verdicts_and_reasons():
    shelf = table(figure_of(samples.overview()), "scans")
    assert len(shelf.rows) == 46
    assert ("Al K", "{scan:scan 9}", "set aside", "the beam dropped at 1571 eV") in shelf.rows


def test_of_too_many_scans_those_with_a_word_come_first():
    scans = {
        f"{n}.dat": {"scan": f"s{n}", "edge": "Al K", "verdict": "set-aside" if n == 90 else "keep",
                     "reasons": [{"code": "x", "sentence": "noisy"}] if n == 90 else []}
        for n in range(99)
    }  # fmt: skip
    many = figure_of(Answer("trust", "some-set-aside", "One.", detail={"scans": scans}))
    shelf = table(many, "scans")
    assert shelf.rows[0][2] == "set aside" and len(shelf.rows) == MOST_ROWS
    assert shelf.title == "scans, 60 of 99 rows" and len(table(many, "scans", full=True).rows) == 99


def test_causes_edges_and_the_day_have_tables_too():
    assert table(figure_of(samples.autopsy()), "causes").columns[0] == "cause"
    assert table(summary(samples.edges()), "edges").rows[0][:4] == ("Al K", "lit", "lit", "lit")
    line = day_line([Moment("scan", "2026-03-14T09:05", words="Al K", state="set-aside")], "2026-03-14T10:00")
    assert table(line, "the day").rows == (("9:05", "", "Al K, set aside"),)


def test_a_blank_has_no_table():
    assert [one.title for one in tables_of(figure_of(samples.empty()))] == []
