"""Shares of an experiment: its own standards and those from the shelf, specimen by specimen."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from invented_iron import FERRIC, FERROUS, TEXT, iron, shift_files, standard, xdi_text

import edgeshift
from edgeshift.actions import shelf as act
from edgeshift.actions.ask import answer, ask, ask_all
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who, judge
from edgeshift.actions.session import Session
from edgeshift.actions.shares import belongs_to_nothing
from edgeshift.actions.take import take
from edgeshift.errors import QuestionRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.folder.shelf import Shelf
from edgeshift.records.standard import EnergyTie
from edgeshift.wording.plain import as_json

DESK = steady_desk()
TIE = EnergyTie(0.0, 0.04, "the same foil", "2026-03-01T08:00:00.000Z")


@pytest.fixture
def shift(tmp_path):
    """A clay, a ferric standard measured beside it, and a ferrous one from the shelf."""
    with ExperimentFolder.create(tmp_path / "shift", TEXT, DESK.now()) as folder:
        take(folder, shift_files(), DESK)
    shelf = Shelf(tmp_path / "shelf")
    act.add(shelf, standard())
    act.lend(tmp_path / "shift", shelf, "ferrous", None, Who("host"), DESK, TIE)
    return tmp_path / "shift"


def test_standards_measured_here_and_lent_ones_stand_together(shift):
    (found,) = ask(shift, "here", "Fe L", shares=True, desk=DESK)
    assert found.detail["specimen"] == "clay"
    assert set(found.detail["shares"]) == {"ferric", "ferrous"}
    ferrous = found.detail["shares"]["ferrous"]
    assert ferrous["shelf"] and not found.detail["shares"]["ferric"]["shelf"]
    assert ferrous["slide_ev"] == 0.04
    assert ferrous["low"] < 0.3 < ferrous["high"]
    assert found.figure.kind == "shares"
    assert len(found.identity) == 64
    json.loads(as_json([found]))


def test_one_standard_alone_gives_no_percent_of_itself(shift):
    (found,) = ask(shift, "here", "Fe L", shares=True, specimen="ferric", desk=DESK)
    assert found.detail["alone"] and "percent" not in found.sentence


def test_a_standard_whose_scans_are_set_aside_is_said_to_be_unused(shift):
    with ExperimentFolder.open(shift) as folder:
        for scan in Session(folder, DESK).known().scans["Fe L"]:
            if scan.place.specimen == "ferric":
                judge(folder, DESK, Who("host", "wrong pot"), scan.key, "set-aside")
    (found,) = ask(shift, "here", "Fe L", shares=True, desk=DESK)
    assert set(found.detail["shares"]) == {"ferrous"} and found.verdict == "cannot-tell"
    assert found.cautions[0].startswith("{specimen:ferric} is not used as a reference: ")
    assert found.would_change_it[0].endswith("edgeshift note FOLDER judge SCAN keep.")
    with pytest.raises(
        QuestionRefused, match="ferric: needed one scanned at Fe L and not set aside, found clay"
    ):
        ask(shift, "here", "Fe L", shares=True, specimen="ferric", desk=DESK)


def test_one_measured_here_stands_before_one_of_its_name_from_the_shelf(shift, tmp_path):
    shelf = Shelf(tmp_path / "shelf")
    act.add(shelf, standard("ferric", FERRIC))
    act.lend(shift, shelf, "ferric", None, Who("host"), DESK, TIE)
    (found,) = ask(shift, "here", "Fe L", shares=True, desk=DESK)
    assert not found.detail["shares"]["ferric"]["shelf"]


def test_what_was_lent_later_is_another_answer_and_a_rewound_one_knows_nothing_of_it(shift, tmp_path):
    with ExperimentFolder.open(shift) as folder:
        session = Session(folder, DESK)
        lent = [event for event in session.known().state.events if event.kind == "standard"]
        before = [event for event in session.known().state.events if event.number < lent[0].number][-1]
        (now,) = answer(session, "here", "Fe L", shares=True)
        (then,) = answer(session, "here", "Fe L", until=before.time, shares=True)
    assert set(then.detail["shares"]) == {"ferric"}
    assert then.identity != now.identity


def test_a_standard_may_be_asked_about_itself_by_name(shift):
    (found,) = ask(shift, "here", "Fe L", shares=True, specimen="ferric", desk=DESK)
    assert set(found.detail["shares"]) == {"ferrous"}
    assert found.verdict == "cannot-tell", "ferric iron is like no ferrous one"


@pytest.mark.parametrize(
    ("asked", "needed"),
    [
        (("real", "Fe L"), "shares: needed the question here, and an edge"),
        (("here", None), "shares: needed the question here, and an edge, found no edge"),
        (("here", "fe l"), "Did you mean --edge 'Fe L'"),
        (("here", "Fe L3"), "Did you mean --edge 'Fe L'"),
        (("here", "Al K"), "edge Al K: needed an edge that was scanned, found Fe L"),
        (
            ("here", "Fe L", None, "sand"),
            "specimen sand: needed one scanned at Fe L and not set aside, found clay, ferric",
        ),
    ],
)
def test_what_cannot_be_asked_is_refused(shift, asked, needed):
    with pytest.raises(QuestionRefused, match=needed):
        question, edge, *rest = asked
        ask(shift, question, edge, shares=True, specimen=rest[1] if rest else None, desk=DESK)


@pytest.fixture
def placeless(tmp_path):
    """The same scans, and nobody said which file is of which specimen."""
    text = TEXT[: TEXT.index(", place: ")] + "}\n"
    with ExperimentFolder.create(tmp_path / "placeless", text, DESK.now()) as folder:
        take(folder, shift_files(), DESK)
        assert ask_all(Session(folder, DESK))
    return tmp_path / "placeless"


def test_shares_of_scans_that_belong_to_no_specimen_are_refused_with_how_to_say_it(placeless):
    with pytest.raises(QuestionRefused, match=r"shares at Fe L: .* belongs to a specimen, found .*place: "):
        ask(placeless, "here", "Fe L", shares=True, desk=DESK)


def test_it_is_known_that_no_scan_belongs_to_any_specimen_though_some_are_named(shift, placeless):
    told = []
    for place in (shift, placeless):
        with ExperimentFolder.open(place) as folder:
            told.append(belongs_to_nothing(Session(folder, DESK).known()))
    assert told == [False, True]


def test_shares_stand_in_the_results_where_two_references_make_a_mixture(shift):
    with ExperimentFolder.open(shift) as folder:
        session = Session(folder, DESK)
        found = [one for one in ask_all(session) if "shares" in one.detail]
        assert [one.detail["specimen"] for one in found] == ["clay"]
        assert found == [replace(one, figure=None) for one in answer(session, "here", "Fe L", shares=True)]
    results = shift / "results"
    assert (results / "shares-Fe_L-clay.svg").is_file()
    told = json.loads((results / "shares.json").read_bytes())
    assert set(told[0]["detail"]["shares"]) == {"ferric", "ferrous"}
    elements = json.loads((results / "here.json").read_bytes())
    assert ["elements" in one["detail"] for one in elements] == [True], "apart from what is here"


def test_one_reference_alone_makes_no_shares_in_the_results(tmp_path):
    with ExperimentFolder.create(tmp_path / "alone", TEXT, DESK.now()) as folder:
        take(folder, shift_files(), DESK)
        assert not [one for one in ask_all(Session(folder, DESK)) if "shares" in one.detail]
    assert not (tmp_path / "alone" / "results" / "shares.json").exists()


def test_a_script_is_given_the_same_shares(shift):
    with edgeshift.Experiment(shift) as held:
        (found,) = held.ask("here", "Fe L", shares=True)
        assert set(found.detail["shares"]) == {"ferric", "ferrous"}


def test_a_count_of_things_that_says_less_than_the_fit_needs_is_said_to_be_weak(tmp_path):
    """Six spots of one mixture: nothing changes between them, and yet two things are in it."""
    text = TEXT.replace("'^(?P<specimen>[a-z]+)'", "'^(?P<specimen>[a-z]+)_(?P<spot>.)'")
    ferric = shift_files()[2][1]
    clay = [(f"clay_{n}.xdi", other) for n, other in enumerate(clay_again(6))]
    with ExperimentFolder.create(tmp_path / "shift", text, DESK.now()) as folder:
        take(folder, [*clay, ("ferric_1.xdi", ferric)], DESK)
    shelf = Shelf(tmp_path / "shelf")
    act.add(shelf, standard())
    act.lend(tmp_path / "shift", shelf, "ferrous", None, Who("host"), DESK, TIE)
    (found,) = ask(tmp_path / "shift", "here", "Fe L", shares=True, desk=DESK)
    (fact,) = [each for each in found.because if each.code == "variety"]
    assert fact.value == 1.0 and "at least" in fact.what
    assert any("says one, and this fit surely needs two references" in each for each in found.cautions)


def clay_again(times: int) -> list[bytes]:
    """The clay of `shift_files`, at other spots."""
    rng = np.random.default_rng(5)
    value = 0.2 + 0.3 * iron(FERROUS) + 0.7 * iron(FERRIC)
    return [xdi_text(value + 0.004 * rng.standard_normal(value.size)) for _ in range(times)]
