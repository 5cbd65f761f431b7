"""Standards on the shelf: added, tied, checked, and lent only on the experiment's own axis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from invented_iron import ENERGY, FERRIC, FERROUS, TEXT, iron, shift_files, standard, xdi_text

from edgeshift.actions import shelf as act
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.library import read
from edgeshift.actions.note import Who
from edgeshift.actions.note import tie as declare_tie
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.errors import NoteRefused, QuestionRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.folder.shelf import Shelf
from edgeshift.records.identity import sha256_of
from edgeshift.records.shift_state import DeclaredTie
from edgeshift.records.standard import EnergyTie

DESK = steady_desk()
HOST = Who("host", "to compare with")
TIE = EnergyTie(0.25, 0.04, "an invented peak", "2026-03-01T08:00:00.000Z")


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path / "shelf")


@pytest.fixture
def shift(tmp_path):
    """One clay and one standard at Fe L."""
    with ExperimentFolder.create(tmp_path / "shift", TEXT, DESK.now()) as folder:
        assert {each.outcome for each in take(folder, shift_files(), DESK)} == {"taken"}
    return tmp_path / "shift"


def test_a_raw_file_becomes_an_entry(shelf, tmp_path):
    path = tmp_path / "mine.xdi"
    path.write_bytes(xdi_text(iron(FERROUS)))
    act.add(shelf, act.from_scan("ferrous", read(path), "invented, March"))
    found, _, file = act.read(shelf, "ferrous")
    assert file == "ferrous.Fe-L.xdi"
    assert (found.axis, found.ties) == ("invented, March", ())
    np.testing.assert_allclose(found.value, iron(FERROUS), atol=1e-6)


def test_an_entry_keeps_all_that_its_source_said_and_the_hash_of_its_bytes(shelf, tmp_path):
    path = tmp_path / "mine.xdi"
    first, rest = xdi_text(iron(FERROUS)).split(b"\n", 1)
    told = b"# Mono.d_spacing: 3.1356\n# Scan.start_time: 2026-02-01T10:00:00\n# Own.note: a: b\n"
    path.write_bytes(first + b"\n" + told + rest)
    act.add(shelf, act.from_file("ferrous", read(path), path.read_bytes(), "invented, March"))
    tied = act.tie(shelf, "ferrous", None, TIE)
    found = act.read(shelf, "ferrous")[0]
    (source,) = found.sources
    assert (source.file, source.sha256) == ("mine.xdi", sha256_of(path.read_bytes()))
    assert source.fields["mono.d_spacing"] == "3.1356"
    assert source.fields["scan.start_time"] == "2026-02-01T10:00:00"
    assert source.fields["own.note"] == "a: b"
    assert found.ties == (TIE,) == tied.ties


def test_a_file_without_an_axis_that_somebody_named_is_refused(tmp_path):
    path = tmp_path / "mine.xdi"
    path.write_bytes(xdi_text(iron(FERROUS)))
    with pytest.raises(QuestionRefused, match="the axis: needed the scale"):
        act.from_file("ferrous", read(path), path.read_bytes(), None)


def test_a_standard_of_an_edge_that_nobody_scans_here_is_not_lent(shelf, shift):
    act.add(shelf, replace(standard(ties=(TIE,)), edge="Mn L"))
    with pytest.raises(NoteRefused, match=r"ferrous at Mn L: needed an edge of this experiment: Fe L"):
        act.lend(shift, shelf, "ferrous", None, HOST, DESK, TIE)


def test_a_standard_of_a_shift_comes_with_the_tie_declared_there(shelf, shift):
    with ExperimentFolder.open(shift) as folder:
        declare_tie(folder, DESK, HOST, DeclaredTie(0.2, 0.05, "a gas line", edge="Fe L"))
    found = act.from_experiment(shift, "ferric", "Fe L", DESK)
    assert [(tie.shift_ev, tie.source) for tie in found.ties] == [(0.2, "a gas line")]
    assert found.axis == "invented"
    np.testing.assert_allclose(found.energy_ev, ENERGY + 0.2, atol=1e-3)
    assert "scan-003, scan-004" in found.remarks[0]
    assert [each.file for each in found.sources] == ["ferric_1.xdi", "ferric_2.xdi"]
    assert found.sources[0].fields["element.symbol"] == "Fe" and len(found.sources[0].sha256) == 64


def test_a_specimen_that_was_not_scanned_is_refused(shift):
    with pytest.raises(QuestionRefused, match="albite at Fe L: needed a kept scan, found none"):
        act.from_experiment(shift, "albite", "Fe L", DESK)


def test_an_entry_is_not_overwritten_unless_said(shelf):
    act.add(shelf, standard())
    with pytest.raises(NoteRefused, match="needed a new name, found an entry that is there"):
        act.add(shelf, standard())
    act.add(shelf, standard(), replace_it=True)


def test_a_tie_moves_the_energies_and_stays_in_the_history(shelf):
    act.add(shelf, standard())
    act.tie(shelf, "ferrous", None, TIE)
    act.tie(shelf, "ferrous", "Fe L", replace(TIE, shift_ev=-0.05, source="another"))
    found, _, _ = act.read(shelf, "ferrous")
    assert [tie.shift_ev for tie in found.ties] == [0.25, -0.05]
    np.testing.assert_allclose(found.energy_ev, ENERGY + 0.2)


@pytest.mark.parametrize(
    ("bad", "needed"),
    [
        (replace(TIE, shift_ev=80.0), "needed at most 50 eV"),
        (replace(TIE, sigma_ev=0.0), "give-or-take: needed eV, above 0"),
        (replace(TIE, source=" "), "needed its source"),
    ],
)
def test_a_tie_without_size_or_source_is_refused(shelf, bad, needed):
    act.add(shelf, standard())
    with pytest.raises(NoteRefused, match=needed):
        act.tie(shelf, "ferrous", None, bad)


def test_the_check_names_what_is_untied_noisy_broken_or_off(shelf):
    act.add(shelf, standard("ferrous", ties=(TIE,)))
    act.add(shelf, standard("ferrous~2", slide_ev=0.3, ties=(TIE,)))
    act.add(shelf, standard("ferric", FERRIC))
    noisy = standard("noisy", ties=(TIE,))
    rough = noisy.value + 0.4 * np.random.default_rng(1).standard_normal(ENERGY.size)
    act.add(shelf, replace(noisy, value=rough))
    shelf.write("broken.Fe-L.xdi", b"# XDI/1.0\n1 2\n3 4\n")
    found = {each.file.split(".")[0]: each for each in act.check(shelf)}
    assert {name: each.state for name, each in found.items()} == {
        "broken": "unreadable", "ferric": "untied", "ferrous": "tied", "ferrous~2": "tied", "noisy": "tied",
    }  # fmt: skip
    assert "lies -0.30 eV from that of ferrous~2" in found["ferrous"].notes[0]
    assert "tie it before it is lent" in found["ferric"].notes[0]
    assert "measure it longer" in " ".join(found["noisy"].notes)


def test_an_untied_standard_is_refused(shelf, shift):
    act.add(shelf, standard())
    with pytest.raises(NoteRefused, match="ferrous at Fe L: needed its energies on this experiment's axis"):
        act.lend(shift, shelf, "ferrous", None, HOST, DESK)


def test_one_that_was_measured_here_too_proposes_its_shift_and_is_still_refused(shelf, shift):
    act.add(shelf, standard("ferric", FERRIC, slide_ev=-0.3))
    with pytest.raises(NoteRefused, match=r"proposes --shift-ev 0\.(29|30|31) --sigma-ev 0\.01: look first"):
        act.lend(shift, shelf, "ferric", None, HOST, DESK)


def test_two_tied_axes_need_no_further_shift(shelf, shift):
    act.add(shelf, standard(ties=(TIE,)))
    with pytest.raises(NoteRefused, match="only one of them is tied"):
        act.lend(shift, shelf, "ferrous", None, HOST, DESK)
    with ExperimentFolder.open(shift) as folder:
        declare_tie(folder, DESK, HOST, DeclaredTie(0.0, 0.03, "a gas line", edge="Fe L"))
    event = act.lend(shift, shelf, "ferrous", None, HOST, DESK)
    assert event.payload["shift_ev"] == 0
    assert event.payload["sigma_ev"] == pytest.approx(0.05)
    assert "an invented peak; a gas line" in event.payload["source"]


def test_what_is_lent_is_copied_in_and_outlives_the_shelf(shelf, shift):
    act.add(shelf, standard())
    act.lend(shift, shelf, "ferrous", None, HOST, DESK, replace(TIE, shift_ev=0.1))
    (shelf.path / "ferrous.Fe-L.xdi").unlink()
    with ExperimentFolder.open(shift) as folder:
        session = Session(folder, DESK)
        ((event, found),) = act.lent(session, session.known(), "Fe L")
    assert event.kind == "standard" and event.role == "host"
    np.testing.assert_allclose(found.energy_ev, ENERGY + 0.1)
    assert (shift / "raw" / "ferrous.Fe-L.xdi").is_file()


def test_a_guest_without_a_role_lends_nothing(shelf, shift):
    act.add(shelf, standard())
    with pytest.raises(NoteRefused, match="the role: needed one of host"):
        act.lend(shift, shelf, "ferrous", None, Who("tool"), DESK, TIE)
