"""The library does what the command line does, in ten lines."""

from __future__ import annotations

import json
import subprocess
import sys
import xml.etree.ElementTree as tree
from dataclasses import replace

import numpy as np
import pytest
from invented_iron import FERRIC, FERROUS, iron, xdi_text
from practised import begun, files, made
from raw_files import SEEDS

import edgeshift
from edgeshift.actions.ask import answer
from edgeshift.actions.session import Session
from edgeshift.errors import (
    FileRefused,
    FolderRefused,
    QuestionRefused,
    UnclearColumns,
    UnreadableFile,
    WhichEntry,
)
from edgeshift.formats.experiment_text import load
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.shift_state import DeclaredTie
from edgeshift.wording.plain import as_json

TEN_LINES = """\
import sys
import edgeshift
raw = sys.argv[1]
scans = {n: edgeshift.read(f"{raw}/{n:04d}_AlK.dat") for n in range(1, 19)}
edge = edgeshift.reduce(list(scans.values()))
answer = edgeshift.compare({n: [scans[n]] for n in (1, 3, 5)}, {n: [scans[n]] for n in (2, 4, 6)})
print(answer.sentence, edgeshift.autopsy(scans[1], scans[2]).verdict)
with edgeshift.Experiment(sys.argv[2]) as shift:
    for each in shift.ask("real"):
        print(each.edge, each.verdict)
"""
RATIO = {"kind": "ratio", "windows": [[1566.05, 1566.35], [1568.05, 1568.35]]}


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    """The Al K scans of a practice shift in a folder."""
    place = tmp_path_factory.mktemp("shift") / "riverbank"
    begun(place, files("AlK")).close()
    return place


@pytest.fixture(scope="module")
def beamline():
    return load(made().experiment_text, "experiment.yaml").beamline


@pytest.fixture(scope="module")
def scans(shift, beamline):
    """Every Al K scan, in order, read by the practice profile."""
    return [edgeshift.read(path, beamline) for path in sorted((shift / "raw").iterdir())]


@pytest.fixture(scope="module")
def arms(scans):
    """The scans of each arm, by unit."""
    by_arm: dict[str, dict[str, list]] = {"RAW": {}, "PIT750": {}}
    for scan in scans:
        arm, unit = scan.place.specimen.split("-")
        by_arm[arm].setdefault(unit, []).append(scan)
    return by_arm


def test_a_ten_line_script_does_what_the_command_line_does(shift):
    assert len(TEN_LINES.splitlines()) == 10
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", TEN_LINES, shift / "raw", shift],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    assert run.stdout.splitlines()[-2:] == ["Al K units", "None units"]


def test_a_file_is_read_as_the_profile_says(scans):
    first = scans[0]
    assert (first.edge, first.signal, first.place.specimen, first.place.spot) == (
        "Al K", "electron-yield", "RAW-A", "s1",
    )  # fmt: skip
    assert set(first.channels) == {"i0", "electron-yield", "fluorescence"}


def test_a_profile_may_be_a_plain_mapping(shift, beamline, scans):
    path = sorted((shift / "raw").iterdir())[0]
    mapped = edgeshift.read(path, beamline.model_dump())
    np.testing.assert_array_equal(mapped.energy_ev, scans[0].energy_ev)


def test_an_edge_that_is_said_stands(shift, beamline):
    path = sorted((shift / "raw").iterdir())[0]
    assert edgeshift.read(path, beamline, edge="Br L").edge == "Br L"


def test_a_file_that_is_not_there_is_refused_by_its_name(tmp_path):
    with pytest.raises(UnreadableFile, match=r"gone\.dat: needed a file, found No such file"):
        edgeshift.read(tmp_path / "gone.dat")


def test_a_file_that_is_no_scan_is_refused(tmp_path):
    (tmp_path / "notes.txt").write_text("the clay was wet\n", encoding="utf-8")
    with pytest.raises(FileRefused, match=r"^notes\.txt: needed at least two columns of numbers"):
        edgeshift.read(tmp_path / "notes.txt")


def test_unclear_columns_are_refused_with_the_doubts(tmp_path):
    rows = "".join(f"{1550 + n} {100 + n % 3} {50 + n}\n" for n in range(40))
    (tmp_path / "bare.dat").write_text(rows, encoding="utf-8")
    with pytest.raises(UnclearColumns, match=r"Give a profile\.$"):
        edgeshift.read(tmp_path / "bare.dat")


def test_one_of_several_entries_is_asked_for_and_can_be_named(tmp_path):
    (tmp_path / "two.h5").write_bytes(SEEDS["clay.h5"])
    with pytest.raises(
        WhichEntry, match="needed one entry, found fired, raw|needed one entry, found raw, fired"
    ):
        edgeshift.read(tmp_path / "two.h5")
    assert edgeshift.read(tmp_path / "two.h5", entry="fired").edge == "Al K"


def test_scans_are_reduced_to_one_spectrum_a_spot(scans):
    found = edgeshift.reduce(scans)
    places = {(scan.place.specimen, scan.place.spot) for scan in scans}
    assert found.edge == "Al K"
    assert {(s.place.specimen, s.place.spot) for s in found.spots} == places
    assert all(s.unit == "step" and s.sigma.shape == s.value.shape for s in found.spots)
    assert len(found.methods) == 7


def test_a_knob_of_the_recipe_is_heard(scans):
    found = edgeshift.reduce(scans[:4], Recipe.model_validate({"scale": {"method": "area"}}))
    assert {s.unit for s in found.spots} == {"area"}


@pytest.mark.parametrize("what", ["none", "two edges", "no edge"])
def test_only_scans_of_one_known_edge_are_reduced(scans, what):
    given = {
        "none": [],
        "two edges": [scans[0], replace(scans[1], edge="Si K")],
        "no edge": [replace(scans[0], edge=None)],
    }
    with pytest.raises(QuestionRefused, match="reduce: needed scans of one known edge, found"):
        edgeshift.reduce(given[what])


def test_two_arms_are_compared_in_pairs(arms):
    found = edgeshift.compare(arms["RAW"], arms["PIT750"], paired=True)
    assert found.detail["paired"]
    assert found.detail["units"] == {"control": 3, "treated": 3}
    assert (found.question, found.edge) == ("real", "Al K")
    assert found.figure is not None


def test_a_feature_given_in_a_script_counts_as_found_after(arms):
    found = edgeshift.compare(arms["RAW"], arms["PIT750"], feature=RATIO, paired=True)
    assert (found.detail["declared"], found.detail["judged_by"]) == ("after", "curve")
    assert found.detail["feature"]["difference"] == pytest.approx(0.5, abs=0.3)


def test_one_unit_each_gets_no_test_in_a_script_either(arms):
    found = edgeshift.compare({"A": arms["RAW"]["A"]}, {"A": arms["PIT750"]["A"]}, feature=RATIO)
    assert found.detail["rungs"]["units"] == "cannot-test"
    assert found.detail["chance"] is None
    assert found.sentence == "These two differ. One unit each cannot tell us why."


def test_an_arm_without_scans_is_no_comparison(arms):
    found = edgeshift.compare(arms["RAW"], {})
    assert (found.verdict, set(found.detail["rungs"].values())) == ("cannot-tell", {"cannot-test"})


def test_two_files_of_one_name_are_two_scans(tmp_path, beamline):
    for (_, data), day in zip(files("AlK"), ("monday", "tuesday"), strict=False):
        (tmp_path / day).mkdir()
        (tmp_path / day / "clay.dat").write_bytes(data)
    both = [edgeshift.read(tmp_path / day / "clay.dat", beamline) for day in ("monday", "tuesday")]
    assert len(edgeshift.reduce(both).scans) == 2
    assert edgeshift.autopsy(*both).detail["autopsy"]["main"] != "none"


def test_a_scan_is_the_same_as_itself(scans):
    assert edgeshift.autopsy(scans[0], scans[0]).detail["autopsy"]["main"] == "none"


def test_a_copy_twice_as_high_differs_in_gain(scans):
    channel = scans[0].channels["electron-yield"]
    high = replace(channel, raw=2.0 * channel.raw - channel.offset)
    twice = replace(scans[0], key="twice", channels={**scans[0].channels, "electron-yield": high})
    parts = edgeshift.autopsy(scans[0], twice).detail["autopsy"]
    assert parts["main"] == "gain"


def test_an_experiment_gives_the_answers_of_the_command_line(shift):
    with edgeshift.Experiment(shift) as held:
        assert held.complaint is None
        found = held.ask("real")
        assert found == answer(Session(held.folder), "real")
        spectra = held.spectra("Al K")
    assert {s.place.arm for s in spectra.spots} == {"raw", "fired"}


def test_an_experiment_takes_and_saves(tmp_path):
    (name, data), *_ = files("AlK")
    (tmp_path / name).write_bytes(data)
    begun(tmp_path / "shift", []).close()
    with edgeshift.Experiment(tmp_path / "shift") as held:
        first, gone = held.take([tmp_path / name, tmp_path / "gone.dat"])
        assert (first.outcome, gone.outcome) == ("taken", "refused")
        trusted = held.ask("trust")
        assert held.save()[1:2] == trusted
    told = json.loads((tmp_path / "shift" / "results" / "trust.json").read_bytes())
    assert told == json.loads(as_json(trusted))


def test_an_edge_that_was_not_scanned_has_no_spectra(shift):
    with (
        edgeshift.Experiment(shift) as held,
        pytest.raises(QuestionRefused, match="edge Fe L: needed .* found Al K"),
    ):
        held.spectra("Fe L")


def test_a_folder_that_is_none_is_refused(tmp_path):
    with pytest.raises(
        FolderRefused, match="needed the folder of an experiment, found a place without a book"
    ):
        edgeshift.Experiment(tmp_path)


def test_answers_and_figures_show_themselves_in_a_notebook(arms):
    found = edgeshift.compare(arms["RAW"], arms["PIT750"], paired=True)
    for shown in (found, found.figure):
        svg = shown._repr_svg_()
        assert tree.fromstring(svg).tag.endswith("svg")
        assert "{" not in tree.fromstring(svg).get("aria-label")


def test_an_experiment_hears_what_people_do_and_why_two_scans_differ(tmp_path):
    begun(tmp_path / "riverbank", files("AlK")[:4]).close()
    who = {"role": "teacher", "reason": "we looked"}
    with edgeshift.Experiment(tmp_path / "riverbank") as shift:
        specimen = shift.session.known().experiment.specimens[0].name
        acts = [
            shift.judge("1", "keep", **who),
            shift.declare("Al K", RATIO, 0.05, **who),
            shift.place("2", specimen, **who),
            shift.tie(DeclaredTie(0.1, 0.05, "a known peak", "Al K"), **who),
            shift.write("the club was here", role="student"),
        ]
        (found,) = shift.ask("trust", compare=("scan-001", "scan-002"))
    assert [event.kind for event in acts] == ["judge", "declare", "place", "tie", "write"]
    assert found.question == "trust"


def test_shares_of_files_come_without_a_folder(tmp_path):
    for name, value in (("ferrous", iron(FERROUS)), ("ferric", iron(FERRIC))):
        (tmp_path / f"{name}.xdi").write_bytes(xdi_text(0.2 + value))
    clay = 0.2 + 0.3 * iron(FERROUS) + 0.7 * iron(FERRIC)
    (tmp_path / "clay.xdi").write_bytes(
        xdi_text(clay + 0.004 * np.random.default_rng(1).standard_normal(211))
    )
    scans = {name: [edgeshift.read(tmp_path / f"{name}.xdi")] for name in ("clay", "ferrous", "ferric")}
    clay = scans.pop("clay")
    found = edgeshift.shares(clay, scans, slides_ev={"ferric": 0.02})
    assert found.detail["shares"]["ferrous"]["low"] < 0.3 < found.detail["shares"]["ferrous"]["high"]
    assert found.detail["shares"]["ferric"]["slide_ev"] == 0.02
    assert found.figure.kind == "shares"
    with pytest.raises(QuestionRefused, match="shares: needed scans of one known edge"):
        edgeshift.shares([replace(clay[0], edge="Al K")], scans)
