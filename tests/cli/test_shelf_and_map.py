"""The verbs shelf, map and ask --shares, from the line."""

from __future__ import annotations

import json

import h5py
import numpy as np
import pytest
from invented_iron import ENERGY, FERRIC, FERROUS, TEXT, iron, shift_files, write_references
from typer.testing import CliRunner

from edgeshift.cli.application import app
from edgeshift.errors import NoteRefused, QuestionRefused, UnreadableFile


@pytest.fixture
def say(tmp_path, monkeypatch):
    """Run one verb beside a shelf of the test's own; a refusal comes through as itself."""
    monkeypatch.setenv("EDGESHIFT_SHELF", str(tmp_path / "shelf"))

    def run(*words):
        result = CliRunner().invoke(app, [str(word) for word in words])
        if result.exception and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return run


@pytest.fixture
def shift(tmp_path, say):
    (tmp_path / "mine.yaml").write_text(TEXT, encoding="utf-8")
    raw = tmp_path / "instrument"
    raw.mkdir()
    for name, data in shift_files():
        (raw / name).write_bytes(data)
    say("take", tmp_path / "shift", raw, "--from", tmp_path / "mine.yaml")
    return tmp_path / "shift"


def test_a_standard_goes_from_a_file_to_the_shelf_to_an_experiment_to_a_share(say, shift, tmp_path):
    ferrous, _ = write_references(tmp_path)
    assert "stands on the shelf" in say("shelf", "add", "ferrous", ferrous, "--axis", "March").output
    assert say("shelf", "check").exit_code == 2
    with pytest.raises(NoteRefused, match="on this experiment's axis"):
        say("shelf", "lend", "ferrous", shift)
    tie = ("--shift-ev", "0.0", "--sigma-ev", "0.05", "--source", "invented foil")
    assert "tie number 1" in say("shelf", "tie", "ferrous", *tie).output
    (again,) = json.loads(say("shelf", "tie", "ferrous", *tie, "--json").output)
    assert (again["state"], len(again["ties"])) == ("tied", 2)
    assert say("shelf", "check").exit_code == 0
    assert "invented foil" in say("shelf", "list").output
    assert "is in the experiment" in say("shelf", "lend", "ferrous", shift, *tie).output
    (event,) = json.loads(say("shelf", "lend", "ferrous", shift, *tie, "--json").output)
    assert event["kind"] == "standard"
    told = say("ask", "here", shift, "--edge", "Fe L", "--shares").output
    assert told.startswith("Fe L: clay is between about")
    (found,) = json.loads(say("ask", "here", shift, "--edge", "Fe L", "--shares", "--json").output)
    assert set(found["detail"]["shares"]) == {"ferric", "ferrous"}


def test_a_standard_comes_from_a_shift_too(say, shift):
    assert "ferric at Fe L" in say("shelf", "add", "ferric", shift, "--edge", "Fe L").output
    (entry,) = json.loads(say("shelf", "list", "--json").output)
    assert (entry["name"], entry["state"], entry["axis"]) == ("ferric", "untied", "invented")


def test_what_is_missing_on_the_line_is_asked_for(say, shift, tmp_path):
    ferrous, _ = write_references(tmp_path)
    with pytest.raises(QuestionRefused, match="the axis: needed the scale"):
        say("shelf", "add", "ferrous", ferrous)
    with pytest.raises(QuestionRefused, match="the edge: needed one"):
        say("shelf", "add", "ferric", shift)
    assert "The shelf is empty." in say("shelf", "list").output


def test_another_shelf_may_be_named(say, tmp_path):
    ferrous, _ = write_references(tmp_path)
    say("shelf", "--shelf", tmp_path / "other", "add", "ferrous", ferrous, "--axis", "March")
    assert (tmp_path / "other" / "ferrous.Fe-L.xdi").is_file()


def test_a_map_is_made_and_said(say, tmp_path):
    part = np.linspace(0, 1, 8)[None, :, None] * np.ones((6, 1, 1))
    values = part * iron(FERRIC) + (1 - part) * iron(FERROUS)
    values += 0.01 * np.random.default_rng(1).standard_normal(values.shape)
    with h5py.File(tmp_path / "m.h5", "w") as file:
        file["od"], file["energy"] = values, ENERGY
    ferrous, ferric = write_references(tmp_path)
    words = ("map", tmp_path / "m.h5", "--reference", ferrous, "--reference", ferric, "--edge", "Fe L")
    told = say(*words, "--out", tmp_path / "out", "--window", 700, 738).output
    assert "The mean curve is between about" in told and "shares.h5" in told
    with pytest.raises(QuestionRefused, match="--baseline: needed one of none, level, line, found parabola"):
        say(*words, "--out", tmp_path / "out", "--baseline", "parabola")


def test_a_broken_file_is_told_of_before_the_axis_that_nobody_named(say, tmp_path):
    broken = tmp_path / "broken.xdi"
    broken.write_bytes(b"# XDI/1.0\n# Element.symbol: Fe\n")
    with pytest.raises(UnreadableFile, match=r"broken\.xdi"):
        say("shelf", "add", "ferrous", broken)
