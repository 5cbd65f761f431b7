"""What a person does enters the book with role and reason, or is refused kindly."""

import math

import pytest

from edgeshift.actions import note
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.new import new
from edgeshift.actions.note import Who
from edgeshift.errors import NoteRefused
from edgeshift.records.event import Event
from edgeshift.records.shift_state import DeclaredTie, replay

TEXT = """\
question: does the fire change the clay?
arms: [{name: raw, control: true}, {name: fired}]
units: [{name: A, arm: raw}]
specimens: [{name: A-raw, unit: A}]
"""
HOST = Who("host", "it stood at its ceiling")
RATIO = {"kind": "ratio", "windows": [[1566, 1567], [1568, 1569]]}


@pytest.fixture
def desk():
    return steady_desk()


@pytest.fixture
def folder(tmp_path, desk):
    with new(tmp_path / "shift", TEXT, desk) as folder:
        for name in ("a.dat", "b.dat"):
            payload = {"file": name, "sha256": f"sha-{name}", "bytes": 1, "entry": None, "profile": None}
            folder.append([Event(0, desk.now(), "arrival", "tool", "", payload)])
        yield folder


def state(folder):
    return replay(folder.events())


@pytest.mark.parametrize("said", ["scan-002", "2", "scan 2", "#2", "b.dat"])
def test_a_scan_is_found_by_key_number_or_file(folder, desk, said):
    event = note.judge(folder, desk, HOST, said, "set-aside")
    assert event.payload == {"scan": "scan-002", "verdict": "set-aside"}
    assert state(folder).judgements["scan-002"].reason == "it stood at its ceiling"


def test_a_judgement_is_undone_by_another_line(folder, desk):
    note.judge(folder, desk, HOST, "1", "set-aside")
    note.judge(folder, desk, Who("teacher", "it was the cable"), "1", "undo")
    assert state(folder).judgements == {}
    assert [event.kind for event in folder.events()][-2:] == ["judge", "judge"]


@pytest.mark.parametrize(
    ("who", "scan", "verdict", "words"),
    [
        (
            HOST,
            "scan-009",
            "keep",
            "'scan-009': needed a scan in this experiment, found 2 of other names",
        ),
        (
            HOST,
            "1",
            "drop",
            "the verdict: needed one of keep, keep-with-a-note, set-aside, undo, found 'drop'",
        ),
        (Who("host", "  "), "1", "keep", "the judgement: needed a reason, found none"),
        (
            Who("king", "why"),
            "1",
            "keep",
            "the role: needed one of host, mentor, teacher, student, found 'king'",
        ),
        (Who("tool", "why"), "1", "keep", "the role: needed one of host"),
        (HOST, "1", "undo", "scan-001: needed a judgement to undo, found none"),
    ],
)
def test_a_judgement_that_makes_no_sense_is_refused(folder, desk, who, scan, verdict, words):
    before = folder.events()
    with pytest.raises(NoteRefused, match=words):
        note.judge(folder, desk, who, scan, verdict)
    assert folder.events() == before


def test_a_name_that_two_scans_answer_to_is_refused(folder, desk):
    payload = {"file": "a~2.dat", "given": "a.dat", "sha256": "x", "entry": None}
    folder.append([Event(0, desk.now(), "arrival", "tool", "", payload)])
    with pytest.raises(
        NoteRefused, match="needed one scan, found 2: scan-001, scan-003. Name one by its key"
    ):
        note.judge(folder, desk, HOST, "a.dat", "keep")


def test_before_the_first_scan_there_is_none_to_judge(tmp_path, desk):
    with (
        new(tmp_path / "empty", TEXT, desk) as folder,
        pytest.raises(NoteRefused, match="found no scan yet"),
    ):
        note.judge(folder, desk, HOST, "1", "keep")


def test_a_declaration_knows_what_had_arrived(folder, desk):
    note.declare(folder, desk, Who("student", "our idea"), "Al K", RATIO, 0.05)
    declared = state(folder).declarations[0]
    assert (declared.edge, declared.matters, declared.number) == ("Al K", 0.05, 2)
    assert declared.feature["windows"] == [[1566.0, 1567.0], [1568.0, 1569.0]]


@pytest.mark.parametrize(
    ("edge", "feature", "matters", "words"),
    [
        ("Alu K", RATIO, None, r"the declaration \(edge\): needed an edge as 'Al K'"),
        ("Al K", {**RATIO, "kind": "slope"}, None, r"the declaration \(feature, kind\): needed 'ratio'"),
        ("Al K", {"kind": "ratio", "windows": [[1, 2]]}, None, "a ratio needs two windows, found 1"),
        ("Al K", {"kind": "area", "windows": [[2, 1]]}, None, "needs its low end first"),
        ("Al K", RATIO, -1.0, r"the declaration \(matters\): needed a number above 0"),
        ("Zz K", RATIO, None, r"the declaration \(edge\): needed an element and a shell"),
        (
            "Al K",
            {"kind": "ratio", "windows": [[1567, 1569], [2000, 2010]]},
            None,
            "needed windows between 1499 and 1761 eV for Al K, found 2000-2010",
        ),
    ],
)
def test_a_declaration_without_sense_is_refused(folder, desk, edge, feature, matters, words):
    with pytest.raises(NoteRefused, match=words):
        note.declare(folder, desk, HOST, edge, feature, matters)


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (DeclaredTie(0.2, 0.05, "a source", "Xx K"), r"the tie \(edge\): needed an element and a shell"),
        (
            DeclaredTie(500.0, 0.05, "a source", "Al K"),
            "needed at most 50 eV, found 500 eV. A larger shift is",
        ),
        (DeclaredTie(-50.5, 0.05, "a source", None, ("1",)), "needed at most 50 eV, found -50.5 eV"),
    ],
)
def test_a_tie_beyond_reason_is_refused(folder, desk, shift, words):
    with pytest.raises(NoteRefused, match=words):
        note.tie(folder, desk, HOST, shift)


def test_a_scan_is_placed_on_a_known_specimen_only(folder, desk):
    note.place(folder, desk, HOST, "1", "A-raw", "2")
    assert state(folder).places["scan-001"] == {"specimen": "A-raw", "spot": "2"}
    with pytest.raises(
        NoteRefused, match="the specimen: needed one of the experiment text, found 'A'; known are A-raw"
    ):
        note.place(folder, desk, HOST, "1", "A")


def test_a_tie_holds_for_an_edge_or_for_named_scans(folder, desk):
    note.tie(folder, desk, HOST, DeclaredTie(0.2, 0.05, "foil, published", edge="Fe L"))
    note.tie(folder, desk, HOST, DeclaredTie(-0.1, 0.05, "foil, published", scans=("b.dat",)))
    first, second = state(folder).ties
    assert (first.edge, first.scans, second.edge, second.scans) == ("Fe L", (), None, ("scan-002",))


@pytest.mark.parametrize(
    ("shift", "words"),
    [
        (DeclaredTie(math.nan, 0.0, "foil", edge="Fe L"), "the shift: needed a number in eV, found nan"),
        (
            DeclaredTie(0.1, -1.0, "foil", edge="Fe L"),
            "its give-or-take: needed a number in eV, 0 or more, found -1.0",
        ),
        (DeclaredTie(0.1, 0.0, " ", edge="Fe L"), "the tie: needed its source, found none"),
        (DeclaredTie(0.1, 0.0, "foil"), "the tie: needed an edge, or the scans it holds for, found neither"),
        (DeclaredTie(0.1, 0.0, "foil", scans=("7",)), "'7': needed a scan in this experiment"),
    ],
)
def test_a_tie_without_sense_is_refused(folder, desk, shift, words):
    with pytest.raises(NoteRefused, match=words):
        note.tie(folder, desk, HOST, shift)


def test_people_write_in_their_own_words(folder, desk):
    note.write(folder, desk, Who("student"), " The beam was back at ten. ")
    assert state(folder).notes[0].payload["text"] == "The beam was back at ten."


@pytest.mark.parametrize(
    ("text", "words"), [("  ", "needed some words"), ("x" * 2001, "at most 2000 letters")]
)
def test_a_note_is_some_words_and_no_book(folder, desk, text, words):
    with pytest.raises(NoteRefused, match=words):
        note.write(folder, desk, HOST, text)
