"""The host says what the Stage shows, and draws the curtain by lot."""

import pytest
from a_room import HOST, TEXT, begun, state

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.showing import draw_curtain, open_curtain, show
from edgeshift.errors import NoteRefused
from edgeshift.records.room import View
from edgeshift.records.shift_state import replay


def test_the_stage_shows_what_was_said_last(folder, desk):
    show(folder, desk, Who("host"), View("trust"))
    show(
        folder, desk, Who("host"), View("trust", compare=("1", "b.dat")), [View("real", "Al K"), View("say")]
    )
    shown = state(folder).shown
    assert shown.now == View("trust", None, ("scan-001", "scan-002"))
    assert shown.next == (View("real", "Al K"), View("say"))


@pytest.mark.parametrize(
    ("now", "then", "words"),
    [
        (View("why"), (), "the question: needed one of begin, here, trust, real, minutes, say, found 'why'"),
        (View("real", "Zz K"), (), r"the Stage \(edge\): needed an element and a shell"),
        (View("trust", compare=("1", "1")), (), "the comparison: needed two scans, found scan-001, scan-001"),
        (View("trust", compare=("1", "9")), (), "'9': needed a scan in this experiment"),
        (View("real"), (View("say"),) * 4, "what comes next: needed at most 3 moves ahead, found 4"),
        (View("real"), (View("why"),), "the question: needed one of"),
    ],
)
def test_what_is_no_view_is_not_shown(folder, desk, now, then, words):
    with pytest.raises(NoteRefused, match=words):
        show(folder, desk, HOST, now, then)
    assert state(folder).shown is None


def test_the_lot_of_the_curtain_is_the_seed_s_and_stands_in_the_book(tmp_path):
    lots = set()
    for seed in range(8):
        desk = steady_desk(seed=seed)
        with begun(tmp_path / str(seed), desk) as folder:
            event = draw_curtain(folder, desk, Who("host"))
            assert event.payload["seed"] == seed
            assert state(folder).curtain == tuple(event.payload["lot"])
            lots.add(state(folder).curtain)
    assert lots == {("raw", "fired"), ("fired", "raw")}


def test_opening_asks_to_what_the_group_has_committed(folder, desk):
    draw_curtain(folder, desk, HOST)
    with pytest.raises(NoteRefused, match="opening the curtain: needed a reason, found none"):
        open_curtain(folder, desk, Who("host"))
    opened = open_curtain(folder, desk, Who("host", "all votes are in"))
    assert state(folder).curtain is None
    before = [event for event in folder.events() if event.number < opened.number]
    assert replay(before).curtain is not None


def test_a_curtain_is_drawn_once_and_opened_once(folder, desk):
    with pytest.raises(NoteRefused, match="the curtain: needed a drawn one, found an open one"):
        open_curtain(folder, desk, HOST)
    draw_curtain(folder, desk, HOST)
    with pytest.raises(NoteRefused, match="the curtain: needed an open one, found one that is drawn"):
        draw_curtain(folder, desk, HOST)


def test_one_arm_has_nothing_to_hide(tmp_path, desk):
    text = TEXT.replace(", {name: fired}", "").replace(", {name: B, arm: fired}", "")
    with (
        begun(tmp_path / "one", desk, text.replace(", {name: B-fired, unit: B}", "")) as folder,
        pytest.raises(NoteRefused, match="the curtain: needed 2 to 11 arms to hide, found 1"),
    ):
        draw_curtain(folder, desk, HOST)
