"""Time, randomness and folders come in through the desk alone."""

import re

import pytest

from edgeshift.actions.desk import Desk, steady_desk
from edgeshift.actions.new import new
from edgeshift.errors import FolderRefused

TEXT = "question: does the fire change the clay?\n"


def test_the_clock_speaks_utc_with_milliseconds():
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", Desk().now())


def test_a_steady_desk_moves_by_its_step_and_keeps_its_seed():
    desk = steady_desk("2026-03-01T08:00:00.000Z", step_s=1.5, seed=7)
    assert [desk.now() for _ in range(3)] == [f"2026-03-01T08:00:0{s}Z" for s in ("0.000", "1.500", "3.000")]
    assert desk.seed() == desk.seed() == 7


def test_two_looks_at_a_real_desk_differ_in_seed():
    assert len({Desk().seed() for _ in range(5)}) > 1


def test_loading_replays_the_book_to_the_moment(tmp_path):
    desk = steady_desk()
    new(tmp_path / "shift", TEXT, desk).close()
    (tmp_path / "shift" / "experiment.yaml").write_text(TEXT + "# later\n", encoding="utf-8")
    now = desk.load(tmp_path / "shift")
    assert now.complaint is None
    assert now.state.experiment_text.endswith("# later\n")
    then = desk.load(tmp_path / "shift", until="2026-03-01T08:00:00.000Z")
    assert then.state.experiment_text == TEXT
    now.folder.close()
    then.folder.close()


def test_a_broken_edit_is_a_complaint_with_its_line_and_the_last_text_holds(tmp_path):
    desk = steady_desk()
    new(tmp_path / "shift", TEXT, desk).close()
    (tmp_path / "shift" / "experiment.yaml").write_text(TEXT + "armss: []\n", encoding="utf-8")
    loaded = desk.load(tmp_path / "shift")
    complaint = "experiment.yaml:2: needed a field that is known here, found 'armss'. Did you mean 'arms'?"
    assert str(loaded.complaint) == complaint
    assert loaded.state.experiment_text == TEXT
    loaded.folder.close()


def test_no_experiment_is_a_refusal(tmp_path):
    with pytest.raises(FolderRefused, match="Begin one with: edgeshift new"):
        Desk().load(tmp_path)
