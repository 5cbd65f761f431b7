"""A practice shift is scored: hits, misses and false alarms with their time of day."""

import shutil

import pytest

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who, judge
from edgeshift.actions.practise import How, practice_scenario, practise
from edgeshift.actions.score import score
from edgeshift.actions.take import take
from edgeshift.errors import FolderRefused, TextRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.practice import planted, scenario_from_text, shift
from edgeshift.practice.seal import sealed
from edgeshift.wording.practice import scored

NEXT_DAY = "2026-03-02T08:00:00.000Z"


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A short shift with all its traps."""
    where = tmp_path_factory.mktemp("scored") / "linen"
    practise(where, 2, desk=steady_desk(), how=How("linen", traps="all"))
    return where


def by_trap(found):
    return {call.trap: call for call in found.calls if call.trap}


def test_what_the_tool_caught_is_a_hit_at_the_time_its_file_landed(place):
    found = score(place, desk=steady_desk(NEXT_DAY))
    assert (found.scenario, found.seed) == ("linen", 2)
    calls = by_trap(found)
    assert calls["L1"].outcome == calls["L2"].outcome == "hit"
    assert (calls["L1"].by, calls["L2"].codes) == ("tool", ("duplicate",))
    assert (calls["L4"].outcome, calls["L4"].codes) == ("hit", ("order-confounded",))
    assert calls["L2"].files == ("0014_CaL.dat", "linen_bare1_again.dat")
    assert "2026-05-09T10:00:00+02:00" < calls["L1"].moment < calls["L2"].moment
    assert calls["L2"].moment.endswith("+02:00")
    assert found.clean == 21


def test_what_a_person_set_aside_is_a_hit_of_theirs(place):
    with ExperimentFolder.open(place) as folder:
        struck = by_trap(score(place, desk=steady_desk(NEXT_DAY)))["L3"].files
        judge(folder, steady_desk(NEXT_DAY), Who("student", "it is so weak"), struck[0], "set-aside")
    call = by_trap(score(place, desk=steady_desk(NEXT_DAY)))["L3"]
    assert call.outcome == "hit"
    assert call.by in ("tool", "student")


def test_a_shift_without_traps_has_no_hits_and_no_misses(tmp_path):
    practise(tmp_path / "plain", 4, desk=steady_desk(), how=How("linen"))
    found = score(tmp_path / "plain", desk=steady_desk(NEXT_DAY))
    assert not by_trap(found)
    assert found.clean == 18


def test_only_a_practice_shift_can_be_scored(tmp_path):
    ExperimentFolder.create(tmp_path / "real", "question: what?\n", "2026-03-01T08:00:00.000Z").close()
    with pytest.raises(FolderRefused, match="needed a practice shift with its seal, found no truth.sealed"):
        score(tmp_path / "real", desk=steady_desk())


def test_the_seal_of_another_shift_is_refused(place, tmp_path):
    practise(tmp_path / "other", 3, desk=steady_desk(), how=How("linen", traps="L1"))
    shutil.copy(place / "truth.sealed", tmp_path / "other" / "truth.sealed")
    with pytest.raises(TextRefused, match="needed the seal of this shift, found one that holds another"):
        score(tmp_path / "other", desk=steady_desk(NEXT_DAY))


def test_a_shift_that_was_cut_short_is_scored_as_far_as_it_came(tmp_path):
    """Killed after ten files: the trip came, the copy and the late order did not."""
    scenario, desk = practice_scenario("linen"), steady_desk()
    made = shift(scenario, 2, planted(scenario, "all"))
    with ExperimentFolder.create(tmp_path / "short", made.experiment_text, desk.now()) as folder:
        take(folder, [(file.name, file.data) for file in made.files[:10]], desk)
        (tmp_path / "short" / "truth.sealed").write_text(sealed(scenario, made, 2), "ascii")
    found = score(tmp_path / "short", desk=steady_desk(NEXT_DAY))
    assert (found.came, found.planned) == (10, len(made.files))
    assert by_trap(found)["L1"].outcome == "hit"
    assert {"L2", "L4"}.isdisjoint(by_trap(found))
    assert found.clean == len({file.name for file in made.files[:10]} - struck_in(made))
    assert scored(found)[0].startswith(f"The shift is unfinished: 10 of {len(made.files)} files came.")


def struck_in(made):
    """Files that some trap touches."""
    return {name for trap in made.truth.traps.values() for name in trap.struck}


OTHER = """
beamline:
  injection_every_s: 170.0
  spike: [0.08, 0.30]
  noise: [0.003, 0.006]
  dead_time_s: 2.2e-6
  drift_ev_per_h: 0.035
  mesh_share: 0.3
  orders: [[2, 0.05]]
"""


@pytest.mark.parametrize(
    ("texts", "changes", "traps"),
    [
        (
            ("riverbank",),
            {"lost: [0.62, 0.68]": "lost: [0.30, 0.38]", "from_ev: 456.0": "from_ev: 456.6"},
            "T1,T10,T14,T16,T18",
        ),
        (
            ("riverbank",),
            {
                "slide_ev: 0.35": "slide_ev: 0.28",
                "near: 0.35": "near: 0.28",
                "near: -0.35": "near: -0.28",
                "on: 0.5, mount: INDIUM": "on: 0.4, mount: INDIUM",
            },
            "T2,T8",
        ),
        (
            ("riverbank", "riverbank-2"),
            {"sag: 0.25, sag_s: 60": "sag: 0.30, sag_s: 45", "beam_mm2: 1.0": "beam_mm2: 0.8"},
            "T5,T9,T11,T12,T15",
        ),
        (
            ("riverbank", "riverbank-3"),
            {"gain: 6.0": "gain: 8.0", "busy: 3.4": "busy: 4.0"},
            "T3,T4,T17",
        ),
        (
            ("riverbank", "riverbank-3"),
            {"on: 0.7, mount: TAPE": "on: 0.6, mount: TAPE", "beam_mm2: 0.01": "beam_mm2: 0.015"},
            "T6,T7,T13,T19,T20",
        ),
    ],
    ids=["first-shift", "slide-and-mount", "second-shift", "ceiling", "third-shift"],
)
def test_another_instrument_is_caught_as_well(tmp_path, texts, changes, traps):
    """Practice and detectors share no threshold, window or formula: with other practice constants and other
    places and sizes of the troubles the same ones are caught."""
    *earlier, text = map(_text, texts)
    text += OTHER
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    scenario = scenario_from_text(text, *earlier)
    made = shift(scenario, 12, planted(scenario, traps))
    place = tmp_path / "other"
    desk = steady_desk()
    with ExperimentFolder.create(place, made.experiment_text, desk.now()) as folder:
        take(folder, [(file.name, file.data) for file in made.files], desk)
        (place / "truth.sealed").write_text(sealed(scenario, made, 12), "ascii")
    found = score(place, desk=steady_desk(NEXT_DAY))
    outcomes = {trap: call.outcome for trap, call in by_trap(found).items()}
    assert outcomes == dict.fromkeys(traps.split(","), "hit")


def _text(name: str) -> str:
    from importlib.resources import files

    assert practice_scenario(name).name == name
    return files("edgeshift.practice").joinpath(f"{name}.yaml").read_text("utf-8")


def test_what_is_here_names_the_four_traps_that_look_like_an_element(tmp_path):
    how = How("riverbank-3", traps="T6,T7,T13,T19")
    practise(tmp_path / "third", 3, desk=steady_desk(), how=how)
    found = score(tmp_path / "third", desk=steady_desk(NEXT_DAY))
    assert {call.trap: call.named for call in found.calls if call.trap} == dict.fromkeys(
        ("T6", "T7", "T13", "T19"), True
    )
    assert not [call for call in found.calls if "seen" in call.codes], "no element that is not there"
    lines = scored(found)
    assert lines[1] == "What is here names 4 rightly of 4 that look like an element."
    assert sum("Named rightly." in line for line in lines) == 4
