"""Every look at the units stands in the book, is taken once, and sees nothing that came later."""

from __future__ import annotations

import shutil
from contextlib import contextmanager

import pytest
from mounted import raw, text
from practised import asked_again, begun

from edgeshift.actions import note
from edgeshift.actions.ask import answer, ask_all
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.shift_state import DeclaredTie
from edgeshift.wording import looks as words

HOST = Who("host", "it slipped")
FREE = {"A": "raw", "B": "raw", "C": "raw", "D": "fired", "E": "fired", "F": "fired"}
BY_PAIR = {"A": "1", "D": "1", "B": "2", "E": "2", "C": "3", "F": "3"}
LINES = {"A": 1.0, "B": 1.02, "C": 0.97, "D": 1.5, "E": 1.53, "F": 1.46}


def seeded(unit: str, nth: int = 1, spot: str = "s", line: float | None = None) -> tuple[str, bytes]:
    """A scan of a unit whose noise depends on nothing but its name."""
    seed = 100 * ord(unit) + 10 * ord(spot) + nth
    return f"{unit}-{spot}-{nth}.dat", raw(f"{unit}-1", spot, line or LINES[unit], seed=seed)


class Shift:
    """An open experiment with a steady clock: what lands in it, what it says, and its looks."""

    def __init__(self, folder: ExperimentFolder, desk) -> None:
        self.folder, self.desk = folder, desk
        self.session = Session(folder, desk)

    def land(self, *files: tuple[str, bytes]) -> None:
        take(self.folder, files, self.desk)

    def ask(self, until: str | None = None):
        """The answer at Al K."""
        return answer(self.session, "real", "Al K", until=until)[0]

    @property
    def looks(self) -> list[dict]:
        return [dict(event.payload) for event in self.folder.events() if event.kind == "look"]

    @property
    def seen(self) -> list[int]:
        """At how many units each look was."""
        return [look["units"] for look in self.looks]


@contextmanager
def shift(place, *units: str, plan: str = "", pairs: bool = False):
    """A shift into which one scan of each of these units has landed."""
    desk, words_of_text = steady_desk(), text(FREE, BY_PAIR if pairs else None)
    with begun(place / "shift", [seeded(u) for u in units], words_of_text + plan, desk) as folder:
        yield Shift(folder, desk)


def rested_on(answer) -> tuple:
    """What the third rung says, to the last digit."""
    detail = answer.detail
    return detail["rungs"]["units"], detail["chance"], detail["levels"]["units"], detail["exact"]


def test_a_look_is_one_line_of_the_book_with_all_that_it_spent(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        held.ask()
        event = held.folder.events()[-1]
    assert (event.kind, event.role, event.reason) == ("look", "tool", "")
    assert event.payload == {
        "question": "real", "edge": "Al K", "control": "raw", "treated": "fired", "units": 2, "planned": 3,
        "level": pytest.approx(0.025), "arrivals": event.number - 1,
    }  # fmt: skip


def test_no_look_is_taken_twice(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        first = held.ask()
        assert held.ask() == first
        assert answer(Session(held.folder), "real", "Al K")[0] == first
        ask_all(held.session)
        assert held.seen == [2]


def test_each_new_complete_unit_of_the_smaller_arm_is_a_look(tmp_path):
    with shift(tmp_path) as held:
        for unit in "ABCDEF":
            held.land(seeded(unit))
            held.ask()
        assert held.seen == [2, 3]
        assert [look["level"] for look in held.looks] == pytest.approx([0.025, 0.025])


def test_in_pairs_each_complete_pair_is_a_look(tmp_path):
    with shift(tmp_path, pairs=True) as held:
        for unit in "ABEFDC":
            held.land(seeded(unit))
            held.ask()
        assert held.seen == [2, 3]


def test_a_whole_folder_at_once_is_one_look_at_the_whole_level(tmp_path):
    with shift(tmp_path, *FREE) as held:
        found = held.ask()
        assert [(look["units"], look["level"]) for look in held.looks] == [(3, pytest.approx(0.05))]
    assert found.detail["levels"]["units"] == pytest.approx(0.05)
    assert (found.detail["frozen"], found.detail["next_look_at"]) == (None, None)


def test_between_looks_the_third_rung_is_frozen_and_the_picture_moves(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        before = held.ask()
        held.land(seeded("A", 2, line=1.4), seeded("D", 2, line=1.4), seeded("B", 3, "t", line=1.45))
        after = held.ask()
        assert held.seen == [2]
    assert rested_on(after) == rested_on(before)
    assert after.detail["dots"] != before.detail["dots"]
    assert after.detail["feature"]["difference"] < before.detail["feature"]["difference"]
    assert after.detail["frozen"] == (
        "The third rung is frozen since the look at two units: it waits for the next complete unit."
    )
    assert after.detail["frozen"] in after.cautions
    assert after.detail["next_look_at"] == 3
    assert after.would_change_it[0] == "Complete three units in each arm: then the third rung is judged."
    assert any(f.code == "units-judged" for f in after.because)
    assert before.detail["frozen"] is None
    told = [next(f.what for f in a.because if f.code == "feature-difference") for a in (before, after)]
    assert told[0].endswith("judged against other units")
    assert told[1].endswith("beside the scatter of other units so far, not judged")


def test_the_lower_rungs_are_not_frozen(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        assert held.ask().detail["rungs"]["spots"] == "cannot-test"
        held.land(seeded("A", 1, "t"), seeded("D", 1, "t"))
        assert held.ask().detail["rungs"]["spots"] != "cannot-test"


def test_a_unit_begun_in_one_arm_alone_changes_nothing_of_the_third_rung(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        before = held.ask()
        held.land(seeded("C", line=3.0))
        after = held.ask()
    assert after.detail["units"] == {"raw": 3, "fired": 2}
    assert rested_on(after) == rested_on(before)


def test_a_scan_set_aside_judges_the_same_look_again(tmp_path):
    with shift(tmp_path, *"ADBECF") as held:
        held.land(seeded("A", 2, line=1.2))
        before = held.ask()
        note.judge(held.folder, held.desk, HOST, "7", "set-aside")
        after = held.ask()
        assert held.seen == [3]
        assert after.detail["chance"] != before.detail["chance"]
        assert "The third rung was judged again at the same look, after one decision." in after.cautions
        note.judge(held.folder, held.desk, HOST, "7", "undo")
        assert rested_on(held.ask()) == rested_on(before)


def test_a_scan_that_came_after_the_look_can_be_judged_without_touching_it(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        before = held.ask()
        held.land(seeded("A", 2))
        note.judge(held.folder, held.desk, HOST, "5", "set-aside")
        after = held.ask()
    assert rested_on(after) == rested_on(before)
    assert not any("judged again" in caution for caution in after.cautions)


@pytest.mark.parametrize(
    ("act", "counts"),
    [
        (lambda f, d: note.tie(f, d, HOST, DeclaredTie(0.3, 0.05, "a foil", edge="Al K")), True),
        (lambda f, d: note.tie(f, d, HOST, DeclaredTie(0.3, 0.05, "a foil", edge="Si K")), False),
        (lambda f, d: note.place(f, d, HOST, "1", "A-1", "another"), True),
        (lambda f, d: note.write(f, d, HOST, "the beam was back at ten"), False),
        (lambda f, d: note.declare(f, d, HOST, "Al K", {"kind": "height", "windows": [[1568, 1570]]}), True),
        (lambda f, d: note.declare(f, d, HOST, "Si K", {"kind": "height", "windows": [[1846, 1847]]}), False),
    ],
)
def test_decisions_that_bear_on_the_look_are_counted_and_others_are_not(tmp_path, act, counts):
    with shift(tmp_path, *"ADBE") as held:
        held.ask()
        act(held.folder, held.desk)
        found = held.ask()
        assert held.seen == [2]
    assert any("judged again at the same look" in caution for caution in found.cautions) == counts


def test_decisions_that_leave_one_unit_of_the_look_leave_no_test(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        held.ask()
        held.land(seeded("A", 2))
        note.judge(held.folder, held.desk, HOST, "1", "set-aside")
        found = held.ask()
        assert held.seen == [2]
    assert found.detail["rungs"]["units"] == "cannot-test"
    assert found.detail["rung_words"]["units"] == words.too_few_left(2)


def test_a_person_who_completes_a_unit_by_keeping_a_scan_brings_the_next_look(tmp_path):
    with shift(tmp_path, *"ADBEC") as held:
        held.land(("F-s-1.dat", raw("F-1", "s", 1.5, seed=5, upto=90)))
        held.ask()
        assert held.seen == [2]
        note.judge(held.folder, held.desk, Who("host", "the line is whole"), "6", "keep")
        held.ask()
        assert held.seen == [2, 3]


def change_plan(held: Shift, old: str, new: str) -> None:
    path = held.folder.path / "experiment.yaml"
    path.write_text(held.folder.experiment_text().replace(old, new), encoding="utf-8")
    assert held.desk.accept_hand_edit(held.folder) is None


def test_another_name_for_the_treated_arm_brings_no_level_back(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        before = held.ask()
        change_plan(held, "fired", "baked")
        after = held.ask()
        assert held.seen == [2]
        held.land(seeded("C"), seeded("F"))
        last = held.ask()
        assert [(look["treated"], look["units"]) for look in held.looks] == [("fired", 2), ("baked", 3)]
        assert sum(look["level"] for look in held.looks) == pytest.approx(0.05)
    assert rested_on(after) == rested_on(before)
    told = "One look was taken under another arm's name; it counts here too."
    assert told in after.cautions and told in last.cautions and told not in before.cautions


def test_arms_that_change_places_bring_no_level_back(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        held.ask()
        change_plan(held, "raw", "other")
        change_plan(held, "fired", "raw")
        change_plan(held, "other", "fired")
        held.ask()
        assert held.seen == [2]


def test_a_plan_that_was_changed_later_changes_no_share(tmp_path):
    with shift(tmp_path, *"ADBE", plan="plan: {units_per_arm: 3}\n") as held:
        held.ask()
        change_plan(held, "units_per_arm: 3", "units_per_arm: 8")
        held.land(seeded("C"), seeded("F"))
        held.ask()
        assert [(look["planned"], look["level"]) for look in held.looks] == [
            (3, pytest.approx(0.025)),
            (3, pytest.approx(0.025)),
        ]


def test_beyond_the_plan_the_rung_stays_and_says_that_every_look_is_taken(tmp_path):
    with shift(tmp_path, *"ADBE", plan="plan: {units_per_arm: 2}\n") as held:
        before = held.ask()
        held.land(seeded("C", line=1.4), seeded("F", line=1.1))
        after = held.ask()
        assert held.seen == [2]
    assert rested_on(after) == rested_on(before)
    assert after.detail["units"] == {"raw": 3, "fired": 3}
    assert after.detail["frozen"].endswith("the look at two units: every planned look is taken.")
    assert after.detail["next_look_at"] is None


def test_a_plan_raised_when_all_is_spent_stays_out_of_force_and_that_is_said(tmp_path):
    told = "The first look's plan of two units stays in force; the text now plans three."
    with shift(tmp_path, *"ADBE", plan="plan: {units_per_arm: 2}\n") as held:
        assert told not in held.ask().cautions
        change_plan(held, "units_per_arm: 2", "units_per_arm: 3")
        assert told in held.ask().cautions
        held.land(seeded("C"), seeded("F"))
        after = held.ask()
        assert held.seen == [2]
    assert told in after.cautions
    assert after.detail["frozen"].endswith("the look at two units: the first look's plan stays in force.")
    assert words.short(after.detail) == "frozen at two units; the first look's plan stays in force"
    assert "every planned look" not in " ".join(after.cautions)


def test_a_plan_lowered_to_one_unit_after_its_look_still_says_why_the_rung_waits(tmp_path):
    with shift(tmp_path, *"ADBE", plan="plan: {units_per_arm: 2}\n") as held:
        held.ask()
        change_plan(held, "units_per_arm: 2", "units_per_arm: 1")
        held.land(seeded("C"), seeded("F"))
        assert held.ask().detail["frozen"].endswith("the first look's plan stays in force.")


def test_one_planned_unit_is_no_look(tmp_path):
    with shift(tmp_path, *"ADBE", plan="plan: {units_per_arm: 1}\n") as held:
        found = held.ask()
        assert held.seen == []
    assert found.detail["rung_words"]["units"] == "fewer than two units planned in an arm: no test"
    assert found.would_change_it[0] == "Plan at least two units in each arm."


def test_an_incomplete_unit_keeps_the_first_look_waiting_and_is_named(tmp_path):
    with shift(tmp_path, *"ADBE", plan="plan: {spots_per_unit: 2, scans_per_spot: 2}\n") as held:
        held.land(*(seeded(u, n, spot) for u in "ADB" for n in (1, 2, 3) for spot in "st"))
        found = held.ask()
        assert held.seen == []
        held.land(*(seeded("E", n, spot) for n in (1, 2, 3) for spot in "st"))
        held.ask()
        assert held.seen == [2]
    assert (found.detail["rungs"]["units"], found.detail["chance"]) == ("cannot-test", None)
    assert found.detail["rung_words"]["units"] == (
        "{unit:E} is not complete: none of two spots with two scans"
    )
    assert found.sentence == "They differ beyond other spots; other units cannot be tested yet."
    assert found.would_change_it[0] == "Complete two units in each arm: then the third rung is judged."


def test_a_half_measured_unit_does_not_weigh_in(tmp_path):
    plan = "plan: {scans_per_spot: 2}\n"
    with shift(tmp_path, plan=plan) as held:
        held.land(*(seeded(u, n) for u in "ADBE" for n in (1, 2)))
        before = held.ask()
    with shift(tmp_path / "more", plan=plan) as held:
        held.land(*(seeded(u, n) for u in "ADBE" for n in (1, 2)), seeded("C", line=2.0), seeded("F"))
        found = held.ask()
        assert held.seen == [2]
    assert found.detail["units"] == {"raw": 3, "fired": 3}
    assert found.detail["chance"] == pytest.approx(before.detail["chance"], rel=0.2)
    (told,) = (f.what for f in found.because if f.code == "units-judged")
    assert told.startswith("the third rung rests on 2 of {arm:raw} and 2 of {arm:fired}")


def test_a_rewound_question_writes_nothing_and_says_what_was_known(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        now = held.folder.events()[-1].time
        before = held.ask(until=now)
        assert held.seen == []
        live = held.ask()
        assert held.ask(until=now) == before
        assert held.ask(until=held.folder.events()[-1].time).detail == live.detail
        assert held.seen == [2]
    assert before.detail["rung_words"]["units"] == "no look had been taken by then: no test yet"
    assert live.detail["rungs"]["units"] == "lit"


def locked(folder: ExperimentFolder, place, monkeypatch) -> ExperimentFolder:
    """A copy of the folder on a disk that nobody can write."""
    copy = shutil.copytree(folder.path, place / "locked")
    monkeypatch.setattr("os.access", lambda *_: False)
    return ExperimentFolder.open(copy)


def test_where_the_look_cannot_be_written_there_is_no_third_rung(tmp_path, monkeypatch):
    with shift(tmp_path, *"ADBE") as held, locked(held.folder, tmp_path, monkeypatch) as folder:
        (found, _) = answer(Session(folder), "real")
        assert not [event for event in folder.events() if event.kind == "look"]
    assert found.detail["rungs"]["units"] == "cannot-test"
    assert found.detail["rung_words"]["units"] == "this look could not be written in the book: no test"
    assert found.would_change_it[0].startswith("Ask again where the folder can be written")


def test_looks_that_stand_in_a_locked_book_are_used(tmp_path, monkeypatch):
    with shift(tmp_path, *"ADBE") as held:
        before = held.ask()
        held.land(seeded("C"), seeded("F"))
        with locked(held.folder, tmp_path, monkeypatch) as folder:
            (found, _) = answer(Session(folder), "real")
    assert rested_on(found) == rested_on(before)
    assert found.detail["frozen"].endswith("a newer look could not be written down.")


def test_two_who_look_at_once_take_one_look(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        other = Session(held.folder, held.desk)
        other.known()
        first = held.ask()
        assert answer(other, "real", "Al K")[0] == first
        assert held.seen == [2]


def test_a_disk_without_room_leaves_the_rung_unjudged(tmp_path, monkeypatch):
    from edgeshift.folder.durable import disk_full

    def full(*_, **__):
        raise disk_full(tmp_path)

    with shift(tmp_path, *"ADBE") as held:
        monkeypatch.setattr(type(held.folder), "append_from", full)
        assert "could not be written" in held.ask().detail["rung_words"]["units"]


def test_results_made_again_are_the_same_bytes_and_take_no_look(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        ask_all(held.session)
        held.land(seeded("A", 2))
        ask_all(held.session)
        assert held.seen == [2]
        events = held.folder.events()
    first = asked_again(tmp_path / "shift")
    copy = shutil.copytree(tmp_path / "shift", tmp_path / "copy")
    assert asked_again(copy, lambda place: shutil.rmtree(place / "results")) == first
    with ExperimentFolder.open(copy) as folder:
        assert folder.events() == events


def test_a_look_bears_on_this_answer_and_not_on_trust(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        (trusted,) = answer(held.session, "trust")
        rewound = held.ask(until=held.folder.events()[-1].time)
        live = held.ask()
        assert answer(held.session, "trust")[0].identity == trusted.identity
    assert live.identity != rewound.identity


def test_looks_are_told_in_the_detail_and_among_the_reasons(tmp_path):
    with shift(tmp_path, *"ADBE") as held:
        held.ask()
        held.land(seeded("C"), seeded("F"))
        found = held.ask()
    assert [(one["units"], one["planned"]) for one in found.detail["looks"]] == [(2, 3), (3, 3)]
    (told,) = (f for f in found.because if f.code == "look")
    assert told.what == "look at three of three units planned, after one earlier look; its share of the level"
    assert told.value == pytest.approx(0.025)


def test_a_file_that_was_joined_to_another_since_is_judged_as_it_was_at_the_look(tmp_path):
    name, data = seeded("C", 2, "r")
    lines = data.decode().splitlines()
    halves = ["\n".join([*lines[:3], *part]).encode() + b"\n" for part in (lines[3:173], lines[173:])]
    with shift(tmp_path, *"ADBECF") as held:
        held.land((f"first-{name}", halves[0]))
        before = held.ask()
        held.land((f"second-{name}", halves[1]))
        after = held.ask()
        joined = [scan.regions for scan in held.session.known().scans["Al K"] if scan.regions]
        assert joined == [("scan-007", "scan-008")]
        assert held.seen == [3]
        note.judge(held.folder, held.desk, HOST, "8", "set-aside")
        assert rested_on(held.ask()) == rested_on(before)
    assert after.detail["frozen"]
    assert after.detail["dots"] != before.detail["dots"]
    assert rested_on(after) == rested_on(before)
