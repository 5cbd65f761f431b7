"""Open measured files through the commands alone: taken, asked, and told with their definitions.

Whose data they are, under which licence, and what a good tool must find stands in the README of the folder
that the fixture `open_data` gives. (o) there: measured on these files by a plain script; (a): the authors'.
"""

from __future__ import annotations

import json
import shlex

import pytest
from typer.testing import CliRunner

from edgeshift.cli.application import app

ASK = "question: what form is it in?\n"
READY = ("--column", "absorption=intensity:none")
OXIDES = """\
question: Which oxide is oxidised further?
specimens: [{name: Mn3O4}, {name: Mn2O3}, {name: MnO2}]
edges: [{edge: Mn K}]
beamline: {place: {file_name: '(?P<specimen>Mn\\w+?)_rt'}}
"""
GLASSES = """\
question: how much of the iron is Fe(III)?
specimens:
  - name: PyNa1200
    kind: standard
    holds: [{gives: Fe(III) of all iron, value: 0.95, error: 0.02, source: "Le Losq and others, 2025, data"}]
  - name: PyNa17R
    kind: standard
    holds: [{gives: Fe(III) of all iron, value: 0.09, error: 0.02, source: "Le Losq and others, 2025, data"}]
  - {name: PyNa1600}
edges: [{edge: Fe K}]
beamline:
  energy: {column: Energy}
  channels:
    - {role: i0, columns: [Io]}
    - {role: fluorescence, columns: [FY], dead_time_columns: [DeadTime]}
  signal: fluorescence
  dwell_s: 1.0
  place: {file_name: '(?P<specimen>PyNa\\w+?)_(?P<spot>pt\\d)_'}
"""
SULPHUR = """\
question: how much sulphate?
specimens: [{name: SB5, kind: standard}, {name: SB41, kind: standard}, {name: SB19}, {name: SB36}]
edges: [{edge: S K}]
beamline:
  energy: {column: Energy}
  channels: [{role: absorption, columns: [Intensity], unit: none}]
  place: {file_name: 'XANES_(?P<specimen>SB\\d+)'}
"""


@pytest.fixture
def say():
    """Run one command and give what it printed; a refusal comes through as itself."""

    def run(*words) -> str:
        result = CliRunner().invoke(app, [str(word) for word in words])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result.output

    return run


@pytest.fixture
def taken(say, open_data, tmp_path):
    """Files that fit a pattern, taken into a new folder by a text; what `take` printed stands in `.said`."""

    def made(pattern: str, text: str = ASK, *options: str):
        (tmp_path / "text.yaml").write_text(text, encoding="utf-8")
        folder = tmp_path / "asked"
        paths = sorted(open_data.glob(pattern))
        assert paths
        made.said = say("take", folder, *paths, "--from", tmp_path / "text.yaml", *options)
        return folder

    return made


def values(text: str, words: str) -> list[float]:
    """Numbers behind the facts that hold these words."""
    lines = [line for line in text.splitlines() if words in line]
    return [float(line.rsplit(": ", 1)[1].split()[0].rstrip(",")) for line in lines]


def test_manganese_lines_come_by_every_definition_with_the_axis_called_unreliable(say, taken):
    folder = taken("eels_msa/LSMO_MnL_*.msa", ASK, "--column", "energy=x:eV", *READY)
    found = say("ask", "here", folder, "--edge", "Mn L")
    raw = values(found, "largest reading in each, nothing taken away")
    assert raw == pytest.approx([1.74, 2.92], rel=0.02)
    lines = values(found, "largest value in each, after steps of 2/3 and 1/3 were taken away")
    assert lines[0] == pytest.approx(2.4, abs=0.1) and lines[1] == pytest.approx(4.7, abs=0.3)
    told = [line for line in found.splitlines() if "L3 over L2" in line]
    assert told and all("(absolute energy unreliable)" in line and " eV" in line for line in told)
    assert "by half a step" not in found, "nothing is ranked on axes that are tied to nothing"


def test_manganese_oxides_are_ranked_once_their_foils_are_tied(say, taken):
    folder = taken("library_xdi/Mn/*.xdi", OXIDES)
    before = say("ask", "here", folder, "--edge", "Mn K", "--json")
    form = json.loads(before)[0]["detail"]["form"]
    assert "half steps are not ranked yet" in before and len(form["tie_by"]) == 9
    for oxide in form["readings"]:
        foils = list(oxide["foils"].values())
        assert max(foils) - min(foils) < 0.05
        assert all(abs(foil - 6539.0) < 1.0 for foil in foils)
    said = say("ask", "here", folder, "--edge", "Mn K").splitlines()
    typed = [line.partition("would change it: edgeshift ")[2] for line in said if "note FOLDER tie" in line]
    assert len(typed) == 9
    for line in typed:
        say(*(str(folder) if word == "FOLDER" else word for word in shlex.split(line)))
    after = say("ask", "here", folder, "--edge", "Mn K")
    assert "by half a step: Mn3O4 before Mn2O3 before MnO2" in after
    by_name = dict(zip(("Mn2O3", "Mn3O4", "MnO2"), values(after, "half a step stands at"), strict=True))
    expected = {"Mn3O4": 6546.0, "Mn2O3": 6549.6, "MnO2": 6551.65}
    assert by_name == {name: pytest.approx(at_ev, abs=0.25) for name, at_ev in expected.items()}


def test_carbon_shows_its_two_tops(say, taken):
    found = say("ask", "here", taken("carbon_k_csv/CK.csv"), "--edge", "C K")
    (line,) = [each for each in found.splitlines() if "tops at" in each]
    tops = [float(each.strip(" eV")) for each in line.partition("tops at ")[2].split(",")]
    assert tops[:2] == pytest.approx([285.1, 288.7], abs=0.2)


def test_alumina_shows_its_main_peak_and_says_that_it_has_no_usable_step(say, taken):
    folder = taken("eels_msa/alumina-alpha*.msa", ASK, "--column", "energy=energy:eV", *READY)
    found = say("ask", "here", folder, "--edge", "Al K", "--json")
    (read,) = json.loads(found)[0]["detail"]["form"]["readings"]
    highest = max(read["tops"], key=lambda top: top["height"])
    assert highest["at_ev"] == pytest.approx(1567.8, abs=0.1)
    assert any(each.startswith("No usable edge step:") for each in json.loads(found)[0]["cautions"])
    assert read["half_step"] is None


def test_files_without_an_edge_are_refused_with_these_words(taken):
    taken("eels_msa/*NOT-AN-EDGE.msa")
    assert taken.said.count("No edge is in it") == 2


def test_the_middle_glass_is_told_as_iron_iii_by_what_its_end_members_hold(say, taken):
    folder = taken("redox_glass_raw/PyNa1[267]*.dat", GLASSES)
    found = say("ask", "here", folder, "--edge", "Fe K", "--shares", "--json")
    (held,) = json.loads(found)[0]["detail"]["held"]
    assert held["value"] == pytest.approx(0.72, abs=0.04)
    assert held["low"] < 0.75 < held["high"] and held["high"] - held["low"] < 0.2
    shown = say("ask", "here", folder, "--edge", "Fe K", "--shares")
    assert "Fe(III) of all iron, by what the references hold, from" in shown
    assert "is taken from: Le Losq and others, 2025, data." in shown
    assert (folder / "results" / "shares.json").is_file()
    assert (folder / "results" / "shares-Fe_K-PyNa1600.svg").is_file()


def test_sulphate_falls_from_glass_to_glass_and_two_are_not_told_apart(say, taken):
    """SB5 stands for sulphate and SB41 for none. Both short scans are kept by a person: their stretch below
    the edge is flat."""
    folder = taken("sulfur_glass_csv/S_XANES_SB*.csv", SULPHUR)
    for scan in ("scan-002", "scan-003"):
        say("note", folder, "judge", scan, "keep", "--reason", "short and flat below the edge")
    found = json.loads(say("ask", "here", folder, "--edge", "S K", "--shares", "--json"))
    share = {each["detail"]["specimen"]: each["detail"]["shares"]["SB5"] for each in found}
    assert 1.0 >= share["SB19"]["high"] >= share["SB19"]["low"] > share["SB36"]["high"]
    assert share["SB19"]["value"] == pytest.approx(0.90, abs=0.1)
    assert share["SB36"]["low"] == 0.0, "no more sulphate than SB41 has"


ENDS = SULPHUR.replace("{name: SB41, kind: standard}", "{name: SB41}").replace(
    "{name: SB36}", "{name: SB36, kind: standard}"
)


def test_a_standard_that_trust_sets_aside_is_said_and_one_alone_gives_no_shares(say, taken):
    folder = taken("sulfur_glass_csv/S_XANES_SB*.csv", ENDS)
    (found,) = json.loads(say("ask", "here", folder, "--edge", "S K", "--shares", "--json"))
    assert found["verdict"] == "cannot-tell" and "one reference is always all of itself" in found["sentence"]
    told = say("ask", "here", folder, "--edge", "S K", "--shares")
    assert "SB36 is not used as a reference: its scan is set aside." in told
    assert "SB41 is not told of: its scan is set aside." in told
    assert "judge SCAN keep" in told and "percent" not in told


def test_two_sulphides_are_not_told_apart_by_half_a_step_nor_by_their_sulphate(say, taken):
    """SB36 has a line four electronvolts in front of its edge: that is no half step of the edge."""
    folder = taken("sulfur_glass_csv/S_XANES_SB*.csv", ENDS)
    for scan in ("scan-002", "scan-003"):
        say("note", folder, "judge", scan, "keep", "--reason", "short and flat below the edge")
    found = say("ask", "here", folder, "--edge", "S K")
    (ranked,) = [line for line in found.splitlines() if "by half a step:" in line]
    assert "SB41, not told apart from SB36 before SB5, not told apart from SB19" in ranked
    shares = json.loads(say("ask", "here", folder, "--edge", "S K", "--shares", "--json"))
    sulphate = {each["detail"]["specimen"]: each["detail"]["shares"]["SB5"] for each in shares}
    assert sulphate["SB41"]["low"] < 0.01 < sulphate["SB19"]["low"], "SB36 stands for none, and so does SB41"
    assert sulphate["SB19"]["low"] > 0.8
