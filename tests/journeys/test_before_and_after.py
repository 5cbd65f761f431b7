"""What was named before looking is told from what was found after it."""

from __future__ import annotations

import pytest
from practised import begun, files, made, text_without

from edgeshift.actions import note
from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.session import Session
from edgeshift.actions.take import take

WHO = Who("mentor", "the line we came for")
RATIO = {"kind": "ratio", "windows": [[1566.05, 1566.35], [1568.05, 1568.35]]}
OTHER = {"kind": "ratio", "windows": [[1566.15, 1566.45], [1568.05, 1568.35]]}
FOUND_AFTER = "Found after looking, so the whole curve's price was paid."


def aluminium(folder) -> dict:
    """The detail of the Al K answer, after its cautions and its verdict agree with it."""
    (found,) = answer(Session(folder), "real", "Al K")
    after = found.detail["declared"] == "after"
    assert (FOUND_AFTER in found.cautions) == after
    assert found.detail["judged_by"] == ("curve" if after else "feature")
    return found.detail


def edit(folder, text: str, desk) -> None:
    (folder.path / "experiment.yaml").write_text(text, encoding="utf-8")
    assert desk.accept_hand_edit(folder) is None


def test_a_feature_in_the_text_before_the_first_scan_was_declared_before(tmp_path):
    with begun(tmp_path / "shift", files("AlK")) as folder:
        assert aluminium(folder)["declared"] == "before"


def test_a_feature_named_after_scans_was_found_after_and_the_curve_is_judged(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), text_without("Al K"), desk) as folder:
        before = aluminium(folder)
        assert (before["declared"], before["feature"]) == ("after", None)
        note.declare(folder, desk, WHO, "Al K", RATIO)
        after = aluminium(folder)
        assert after["declared"] == "after"
        assert after["feature"]["difference"] == pytest.approx(0.5, abs=0.3)
        assert after["rungs"] == before["rungs"]


def test_a_feature_named_before_its_edge_was_scanned_was_declared_before(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("SiK"), text_without("Al K"), desk) as folder:
        note.declare(folder, desk, WHO, "Al K", RATIO)
        take(folder, files("AlK"), desk)
        assert aluminium(folder)["declared"] == "before"


@pytest.mark.parametrize("when", [0, 1])
def test_the_first_scan_of_the_edge_is_the_border(tmp_path, when):
    desk = steady_desk()
    raw = files("AlK")
    with begun(tmp_path / "shift", raw[:when], text_without("Al K"), desk) as folder:
        note.declare(folder, desk, WHO, "Al K", RATIO)
        take(folder, raw[when:], desk)
        assert aluminium(folder)["declared"] == ("after" if when else "before")


def test_a_feature_changed_after_scans_was_found_after(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        note.declare(folder, desk, WHO, "Al K", OTHER)
        found = aluminium(folder)
        assert found["declared"] == "after"
        assert found["feature"]["windows"] == OTHER["windows"]


def test_a_feature_changed_by_hand_after_scans_was_found_after(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        edit(folder, made().experiment_text.replace("[1566.05, 1566.35]", "[1566.15, 1566.45]"), desk)
        assert aluminium(folder)["declared"] == "after"


PLAN = "    role: family\n"


def test_a_difference_that_matters_named_after_scans_makes_no_verdict_and_leaves_the_feature_alone(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        edit(folder, made().experiment_text.replace(PLAN, f"{PLAN}    matters: 3.0\n", 1), desk)
        found = aluminium(folder)
        assert (found["declared"], found["matters"], found["matters_after"]) == ("before", 3.0, True)
        assert answer(Session(folder), "real", "Al K")[0].verdict != "no-change"


def test_a_difference_that_matters_named_before_scans_and_changed_since_is_named_after(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", [], desk=desk) as folder:
        text = made().experiment_text.replace(PLAN, f"{PLAN}    matters: 1.0\n", 1)
        edit(folder, text, desk)
        take(folder, files("AlK"), desk)
        assert not aluminium(folder)["matters_after"]
        edit(folder, text.replace("matters: 1.0", "matters: 3.0"), desk)
        found = aluminium(folder)
        assert (found["declared"], found["matters"], found["matters_after"]) == ("before", 3.0, True)


def test_naming_a_feature_away_and_back_does_not_make_it_old_again(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        note.declare(folder, desk, WHO, "Al K", OTHER)
        words = {**RATIO, "words": "early over late peak"}
        note.declare(folder, desk, WHO, "Al K", words)
        assert aluminium(folder)["declared"] == "after"


def test_an_edit_that_leaves_the_feature_alone_leaves_it_declared_before(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        edit(folder, made().experiment_text + "# a remark\n", desk)
        assert aluminium(folder)["declared"] == "before"


def test_an_edit_elsewhere_leaves_a_feature_that_a_note_named_in_force(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", [], desk=desk) as folder:
        note.declare(folder, desk, WHO, "Al K", OTHER)
        edit(folder, made().experiment_text + "# a remark\n", desk)
        take(folder, files("AlK"), desk)
        found = aluminium(folder)
        assert (found["declared"], found["feature"]["windows"]) == ("before", OTHER["windows"])


def test_a_feature_taken_out_of_the_text_is_judged_no_more(tmp_path):
    desk = steady_desk()
    with begun(tmp_path / "shift", files("AlK"), desk=desk) as folder:
        edit(folder, text_without("Al K"), desk)
        found = aluminium(folder)
        assert (found["declared"], found["feature"]) == ("after", None)


def test_every_result_carries_the_stamp(tmp_path):
    with begun(tmp_path / "shift", files()) as folder:
        *edges, summary = answer(Session(folder), "real")
    assert all(each.detail["declared"] in ("before", "after") for each in edges)
    assert all(line["declared"] in ("before", "after") for line in summary.detail["edges"])
