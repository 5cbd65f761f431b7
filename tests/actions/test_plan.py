"""Plans from the text alone, written as sheets; after a trip the rest of the day."""

import csv
import json

import pytest

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.plan import Now, minute_now, plan
from edgeshift.errors import QuestionRefused
from edgeshift.wording.planning import FOOT

TEXT = """\
arms: [{name: raw, control: true}, {name: fired}]
units: [{name: A, arm: raw}, {name: B, arm: fired}]
specimens: [{name: A-raw, unit: A}, {name: B-fired, unit: B}, {name: KAOLIN, kind: standard}]
edges: [{edge: Al K}, {edge: Si K, role: control}]
day: {ends: "2026-03-14T20:00:00+01:00"}
"""


@pytest.fixture
def place(tmp_path):
    new(tmp_path / "shift", TEXT, steady_desk()).close()
    return tmp_path / "shift"


def test_every_sheet_stands_in_the_folder_and_defers_to_the_staff(place):
    planned = plan(place, steady_desk())
    printed = (place / "plan" / "sheets.pdf").read_bytes()
    written = {path.name: path.read_text("utf-8") for path in (place / "plan").glob("*.[!p]*")}
    drawn = written.pop("day-line.svg")
    assert written == {name: text for name, text in planned.sheets.items() if name != "day-line.svg"}
    assert printed.startswith(b"%PDF") and "@font-face" in drawn and "Al K" in drawn
    assert set(written) == {
        "scan-lists.txt", "scan-lists.csv", "run-sheet.txt", "holder-map.txt", "ballots.txt", "checklist.txt",
    }  # fmt: skip
    for name, text in written.items():
        if name.endswith(".txt"):
            assert text.endswith("Follow your facility's and beamline's rules; staff decide.\n"), name


def test_the_run_sheet_goes_by_the_typed_clock(place):
    sheet = plan(place, steady_desk(), write=False).sheets["run-sheet.txt"]
    assert "12:00 - 13:15   75 min  Sign in" in sheet and "19:40 - 20:00" in sheet
    assert not (place / "plan").exists()


def test_the_csv_is_what_the_lists_say(place):
    planned = plan(place, steady_desk())
    rows = list(csv.DictReader(planned.sheets["scan-lists.csv"].splitlines()))
    assert [row["edge"] for row in rows] == [one.edge for one in planned.lists for _ in one.regions]


def test_the_holder_map_names_everything_that_is_mounted(place):
    sheet = plan(place, steady_desk()).sheets["holder-map.txt"]
    assert all(name in sheet for name in ("A-raw", "B-fired", "KAOLIN")) and "read back by" in sheet


def test_the_same_plan_is_the_same_pdf(place):
    plan(place, steady_desk())
    first = (place / "plan" / "sheets.pdf").read_bytes()
    plan(place, steady_desk())
    assert (place / "plan" / "sheets.pdf").read_bytes() == first


def test_the_printed_sheets_hold_every_page(place, monkeypatch):
    """Run sheet, scan lists, holder map, ballots, checklists: read from what is pressed."""
    told = {}
    monkeypatch.setattr("typst.compile", lambda page, **_: told.update(page) or b"")
    plan(place, steady_desk())
    words = json.loads(told["plan.json"])
    assert [row["minutes"] for row in words["run"]][0] == "75" and words["loads"][0][:3] == [
        "A-raw",
        "B-fired",
        "KAOLIN",
    ]
    assert len(words["loads"][0]) == 12 and words["loads"][0][3] == ""
    assert any("Mind dust" in said for said in words["run"][0]["mind"])
    assert words["foot"] == FOOT and words["order"] == [
        "Order: A-raw, B-fired; every second round from the end."
    ]
    assert [one["title"] for one in words["checklists"]] == [
        "Before travel",
        "Before the beam",
        "Before we leave",
    ]


def test_after_a_trip_the_rest_is_planned(place):
    assert minute_now(place, steady_desk(), 100.0) == 380.0
    planned = plan(place, steady_desk(), Now(380.0, {"Al K": 1}, begun=True, eaten=True, decided=True))
    assert planned.day.stretches[0].start_min == 380.0
    assert [each.edge for each in planned.day.stretches if each.kind == "measure"] == ["Si K"]


def test_where_nothing_fits_there_is_no_run_sheet(place):
    planned = plan(place, steady_desk(), Now(470.0, begun=True))
    assert planned.day is None and "run-sheet.txt" not in planned.sheets
    assert planned.refused == "Not even the closing check fits into the minutes left."


def test_with_half_an_hour_left_the_bare_closing_check_is_offered(place):
    sheet = plan(place, steady_desk(), Now(450.0, begun=True), write=False).sheets["run-sheet.txt"]
    assert "NOTHING IS MEASURED: not one round fits." in sheet
    assert "Only the bare closing check fits: writing and closing come 30 min short." in sheet
    assert "Too late for a further load" in sheet and "19:30 - 19:45   15 min  Closing check:" in sheet


@pytest.mark.parametrize("left", [-5.0, 900.0])
def test_more_minutes_than_the_day_has_are_refused(place, left):
    with pytest.raises(QuestionRefused, match=f"--left: needed 0 to 480 minutes, .* found {left:g}"):
        minute_now(place, steady_desk(), left)


def test_without_specimens_the_sheet_says_why_minutes_are_spare(tmp_path):
    new(tmp_path / "bare", "edges: [{edge: Al K}]\n", steady_desk()).close()
    sheet = plan(tmp_path / "bare", steady_desk()).sheets["run-sheet.txt"]
    assert "NOTHING IS MEASURED: experiment.yaml names no specimens" in sheet
    assert "further load" not in sheet and "Order:" not in sheet


def test_what_stays_out_is_said_first_and_nothing_of_it_is_printed(tmp_path):
    pairs = [(n, arm) for n in range(8) for arm in ("raw", "fired")]
    units = ", ".join(f"{{name: {arm} {n}, arm: {arm}, pair: p{n}}}" for n, arm in pairs)
    specimens = ", ".join(f"{{name: {arm.upper()}-{n}, unit: {arm} {n}}}" for n, arm in pairs)
    text = f"""\
arms: [{{name: raw, control: true}}, {{name: fired}}]
units: [{units}]
specimens: [{specimens}, {{name: KAOL, kind: standard}}, {{name: TAPE, kind: blank}}]
edges: [{{edge: Al K}}, {{edge: Fe L}}, {{edge: K L, role: control}}]
"""
    new(tmp_path / "eight", text, steady_desk()).close()
    planned = plan(tmp_path / "eight", steady_desk())
    run, holders = planned.sheets["run-sheet.txt"], planned.sheets["holder-map.txt"]
    assert planned.day.loads == 1
    assert "NOT MEASURED AT ALL: RAW-5 (raw 5, pair p5), FIRED-5 (fired 5, pair p5), RAW-6" in run
    assert run.index("NOT MEASURED AT ALL") < run.index("Sign in")
    assert "Order of load" not in run and "Latest begin" not in run and "load 2" not in holders
    assert "Load 2 is not in this plan; instead it could begin by 4:50" in run and "FIRED-7" not in holders


def test_every_load_is_checked_before_it_leaves_by_sheet_and_by_words(tmp_path):
    names = ("A", "B", "C", "D")
    units = ", ".join(f"{{name: {name}, arm: {'raw' if n % 2 else 'fired'}}}" for n, name in enumerate(names))
    text = f"""\
arms: [{{name: raw, control: true}}, {{name: fired}}]
units: [{units}]
specimens: [{", ".join(f"{{name: jar {name}, unit: {name}}}" for name in names)}]
edges: [{{edge: Al K}}]
plan: {{spots_per_unit: 1, scans_per_spot: 1}}
day: {{holder_places: 2, choice_min: 0}}
"""
    new(tmp_path / "two", text, steady_desk()).close()
    sheets = plan(tmp_path / "two", steady_desk()).sheets
    said = [line for line in sheets["run-sheet.txt"].splitlines() if "Closing check" in line]
    assert [line.partition("Closing check ")[2][:9] for line in said] == ["of load 1", "of load 2"]
    assert "Of every load, before it left" in sheets["checklist.txt"]


def test_rounds_at_an_edge_that_is_not_planned_are_refused(place):
    with pytest.raises(QuestionRefused, match="--done: needed one of Al K, Si K, found Fe L"):
        plan(place, steady_desk(), Now(380.0, {"Fe L": 1}, begun=True))


def test_without_edges_there_is_nothing_to_plan(tmp_path):
    new(tmp_path / "bare", "question: what?\n", steady_desk()).close()
    with pytest.raises(QuestionRefused, match="plan: needed edges to plan for, found none"):
        plan(tmp_path / "bare", steady_desk())


def test_a_material_alone_says_which_edges_are_within_reach_before_any_is_chosen(tmp_path):
    new(tmp_path / "quartz", "question: what?\nmatter: {formula: SiO2}\n", steady_desk()).close()
    planned = plan(tmp_path / "quartz", steady_desk())
    assert planned.lists == () and list(planned.sheets) == ["feasibility.txt"]
    assert "Within reach: O K, Si K." in planned.sheets["feasibility.txt"]
    assert "Si K: its step adds" in planned.sheets["feasibility.txt"]
    assert [each.name for each in (tmp_path / "quartz" / "plan").iterdir()] == ["feasibility.txt"]


def test_where_the_material_is_typed_a_sheet_says_what_can_be_seen(tmp_path):
    text = TEXT + "matter: {formula: Al2Si2O5(OH)4, layered: true, powder_mg: 100, moisture_percent: 1}\n"
    new(tmp_path / "clay", text, steady_desk()).close()
    sheet = plan(tmp_path / "clay", steady_desk()).sheets["feasibility.txt"]
    assert "Al K: its step adds" in sheet and "in fluorescence" in sheet and "in electron yield" in sheet
    assert "Within reach: O K, Al K, Si K." in sheet and "of our tables: H." in sheet
    assert "Water in the powder: 1.35 mbar L of gas." in sheet and "Layered: " in sheet
