"""A folder held open: what is remembered never changes what is answered."""

from __future__ import annotations

import pytest
from a_room import CARDS, SEAT
from practised import begun, files

from edgeshift.actions import note, session
from edgeshift.actions.ask import answer, answer_known
from edgeshift.actions.ballots import guess, vote
from edgeshift.actions.claims import Said, claim
from edgeshift.actions.deciding import accept, decide
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.rounds import close_met_rounds, close_round, open_guess_round, open_vote_round
from edgeshift.actions.session import NO_EDGE, Session
from edgeshift.actions.showing import draw_curtain, open_curtain, show
from edgeshift.actions.shy import ask_shyly
from edgeshift.actions.slots import write_words
from edgeshift.actions.take import take
from edgeshift.errors import FolderRefused
from edgeshift.records.room import ENTER_ROOM, View
from edgeshift.records.shift_state import DeclaredTie

HOST = Who("host", "as agreed")
SKETCH = [(1840.0, 0.0), (1847.0, 1.5)]


@pytest.fixture
def desk():
    return steady_desk()


@pytest.fixture
def folder(tmp_path, desk):
    """The Si K scans: few, so that every test is quick."""
    with begun(tmp_path / "shift", files("SiK"), desk=desk) as folder:
        yield folder


def everything(session: Session) -> list:
    return [*answer(session, "trust"), *answer(session, "real")]


def change_text(folder, desk, old: str, new: str) -> None:
    text = folder.experiment_text()
    assert old in text
    (folder.path / "experiment.yaml").write_text(text.replace(old, new), encoding="utf-8")
    assert desk.accept_hand_edit(folder) is None


ACTS = {
    "a file lands": lambda f, d: take(f, files("AlK")[:2], d),
    "a file comes twice": lambda f, d: take(f, [("copy.dat", files("SiK")[0][1])], d),
    "a scan is set aside": lambda f, d: note.judge(f, d, HOST, "1", "set-aside"),
    "a scan is placed elsewhere": lambda f, d: note.place(f, d, HOST, "1", "RAW-C", "s9"),
    "the edge is tied": lambda f, d: note.tie(f, d, HOST, DeclaredTie(0.3, 0.05, "a foil", edge="Si K")),
    "one scan is tied": lambda f, d: note.tie(f, d, HOST, DeclaredTie(0.3, 0.0, "a foil", scans=("1",))),
    "a feature is named": lambda f, d: note.declare(
        f, d, HOST, "Si K", {"kind": "centroid", "windows": [[1845, 1849]]}
    ),
    "a knob is turned": lambda f, d: change_text(
        f, d, "    role: outside", "    role: outside\n    recipe: {scale: {method: area}}"
    ),
    "an arm is renamed": lambda f, d: change_text(f, d, "pit-fired clay", "the fired one"),
    "somebody writes": lambda f, d: note.write(f, d, HOST, "the beam was back at ten"),
    "the room acts": lambda f, d: the_room_acts(f, d),
}
SILENT = {"somebody writes", "a file comes twice", "the room acts"}


def the_room_acts(folder, desk) -> None:
    """Everything that people do together and no number rests on."""
    show(folder, desk, HOST, View("real", "Si K"))
    draw_curtain(folder, desk, HOST)
    open_guess_round(folder, desk, HOST, "Si K")
    guess(folder, desk, HOST, SKETCH, SEAT)
    close_met_rounds(folder, desk, "Si K", None, "scan-001", 10**6)
    open_vote_round(folder, desk, HOST, CARDS)
    vote(folder, desk, HOST, CARDS[0].title, SEAT)
    close_round(folder, desk, HOST, "vote-1")
    decide(folder, desk, HOST, CARDS[0].title, name="vote-1")
    claim(folder, desk, HOST, Said("they differ", 2, edge="Si K"), SEAT)
    accept(folder, desk, HOST, "scan-001/spike")
    ask_shyly(folder, desk, HOST, "what is an edge?")
    write_words(folder, desk, HOST, "what-we-see", "two peaks")
    open_curtain(folder, desk, HOST)
    assert {event.kind for event in folder.events()} > set(ENTER_ROOM)


@pytest.mark.parametrize("act", ACTS)
def test_a_warm_session_answers_as_a_fresh_one_after_every_act(folder, desk, act):
    warm = Session(folder)
    before = everything(warm)
    ACTS[act](folder, desk)
    assert everything(warm) == everything(Session(folder))
    changed = [a.identity for a in everything(warm)] != [a.identity for a in before]
    assert changed == (act not in SILENT)


@pytest.mark.parametrize("act", sorted(set(ACTS) - SILENT))
def test_what_bears_on_an_answer_changes_its_identity(folder, desk, act):
    before = {(a.question, a.edge): a.identity for a in everything(Session(folder))}
    ACTS[act](folder, desk)
    after = {(a.question, a.edge): a.identity for a in everything(Session(folder))}
    summed_up = ("real", None)
    assert after[summed_up] != before[summed_up]


def test_nothing_is_read_or_reduced_twice(folder, monkeypatch):
    session = Session(folder)
    first = everything(session)
    monkeypatch.setattr(type(folder), "raw_bytes", lambda *_: pytest.fail("read again"))
    monkeypatch.setattr("edgeshift.actions.session.flagged", lambda *_: pytest.fail("flagged again"))
    monkeypatch.setattr("edgeshift.actions.session.reduce_edge", lambda *_: pytest.fail("reduced again"))
    assert everything(session) == first


def test_a_declared_tie_moves_the_scans_it_names_and_no_other(folder, desk):
    session = Session(folder)
    note.tie(folder, desk, HOST, DeclaredTie(0.3, 0.05, "a foil", scans=("2",)))
    scans = session.known().scans["Si K"]
    assert [scan.tie.shift_ev if scan.tie else None for scan in scans] == [None, 0.3, None, None]
    note.tie(folder, desk, HOST, DeclaredTie(0.1, 0.05, "another", edge="Si K"))
    assert {scan.tie.shift_ev for scan in session.known().scans["Si K"]} == {0.1}
    note.tie(folder, desk, HOST, DeclaredTie(0.2, 0.05, "a third", edge="Al K"))
    assert {scan.tie.source for scan in session.known().scans["Si K"]} == {"another"}


def test_a_scan_has_the_unit_and_arm_of_its_specimen(folder, desk):
    session = Session(folder)
    first = session.known().scans["Si K"][0].place
    assert (first.specimen, first.unit, first.arm) == ("RAW-A", "raw A", "raw")
    note.place(folder, desk, HOST, "1", "PIT750-C")
    moved = session.known().scans["Si K"][0].place
    assert (moved.specimen, moved.spot, moved.unit, moved.arm) == ("PIT750-C", first.spot, "fired C", "fired")


def test_a_specimen_that_nobody_listed_has_no_arm(tmp_path, desk):
    raw = [(name, data.replace(b"RAW-A", b"TAPE")) for name, data in files("SiK")]
    with begun(tmp_path / "shift", raw, desk=desk) as folder:
        place = Session(folder).known().scans["Si K"][0].place
    assert (place.specimen, place.unit, place.arm) == ("TAPE", None, None)


def test_scans_of_no_known_edge_are_judged_and_compared_with_nothing(tmp_path, desk):
    rows = "".join(f"{6040 + n} {2 + n % 4} {1 + n % 3} 0 {n} 1\n" for n in range(40))
    strange = ("# energy mesh drain fluo clock dwell\n" + rows).encode()
    with begun(tmp_path / "shift", [("strange.dat", strange), *files("SiK")], desk=desk) as folder:
        session = Session(folder)
        assert set(session.known().scans) == {NO_EDGE, "Si K"}
        (trusted,) = answer(session, "trust")
        assert "strange.dat" in trusted.detail["scans"]
        assert {a.edge for a in answer(session, "real")} == {"Si K", None}


def test_raw_bytes_that_changed_on_the_disk_are_not_answered_from(folder):
    path = folder.path / "raw" / files("SiK")[0][0]
    path.chmod(0o644)
    path.write_bytes(path.read_bytes() + b"\n")
    with pytest.raises(FolderRefused, match="needed the bytes that were taken, found other bytes"):
        answer(Session(folder), "trust")


def test_the_identity_is_of_the_bytes_and_not_of_their_name_or_hour(tmp_path):
    renamed = [(f"again-{name}", data) for name, data in files("SiK")]
    with (
        begun(tmp_path / "one", files("SiK")) as one,
        begun(tmp_path / "two", renamed, desk=steady_desk("2027-01-01T00:00:00Z")) as two,
    ):
        found = [[a.identity for a in answer(Session(f), "real")] for f in (one, two)]
    assert found[0] == found[1]


def test_one_byte_of_one_scan_is_another_identity(tmp_path):
    raw = files("SiK")
    other = [(raw[0][0], raw[0][1] + b"# a remark\n"), *raw[1:]]
    with begun(tmp_path / "one", raw) as one, begun(tmp_path / "two", other) as two:
        first, second = (answer(Session(f), "real") for f in (one, two))
    assert first[0].identity != second[0].identity
    assert first[0].detail == second[0].detail


def test_a_scan_is_judged_for_the_feature_that_is_compared(folder, desk):
    far = {"kind": "height", "windows": [[1990.0, 1991.0]]}
    note.declare(folder, desk, HOST, "Si K", far)
    session = Session(folder)
    assert "short-feature" in codes(session)
    change_text(folder, desk, "[[1846.7, 1846.9]]", "[[1846.6, 1846.8]]")
    compared = answer(session, "real", "Si K")[0].detail["feature"]["windows"]
    assert ("short-feature" in codes(session)) == (compared == far["windows"])


def codes(session: Session) -> set[str]:
    (trusted,) = answer(session, "trust")
    return {reason["code"] for scan in trusted.detail["scans"].values() for reason in scan["reasons"]}


def test_acts_leave_nothing_in_memory_that_grows_with_them(tmp_path):
    """Forty people act all shift long: what was made of a moment goes with it, and nothing else comes."""
    with begun(tmp_path / "shift", files("KL")) as folder:
        desk, held = steady_desk("2026-03-02T08:00:00Z"), Session(folder)

        def asked(session):
            known = session.known()
            behind = session.veiled(known, ("fired", "raw"))
            found = [
                answer_known(session, one, name) for one in (known, behind) for name in ("trust", "real")
            ]
            return [each for some in found for each in some]

        size = []
        for number in range(session.MOMENTS + 6):
            note.write(folder, desk, Who("student"), f"note {number}")
            asked(held)
            size.append(len(held.memory))
        assert size[5] == size[-1]
        assert len(held._moments) == session.MOMENTS >= len(held._of_moments)
        assert asked(held) == asked(Session(folder, desk))
