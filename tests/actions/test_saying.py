"""What the group says aloud, held against a folder: its level moves with the data, stress leaves no trace."""

from dataclasses import replace

import pytest
from mounted import BEAMLINE
from practised import begun
from veiled_shifts import World, opened

from edgeshift.actions import claims, edit, note
from edgeshift.actions.ask import answer, answer_known, ask_all, drawn
from edgeshift.actions.claims import Said
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.saying import stressed
from edgeshift.actions.session import Session
from edgeshift.errors import NoteRefused
from edgeshift.questions.say import Change
from edgeshift.records.event import Event
from edgeshift.wording.names import open_naming
from edgeshift.wording.plain import as_json, as_text

DESK = steady_desk("2026-03-02T08:00:00.000Z")
STUDENT, HOST = Who("student"), Who("host", "the slit was bumped")
FIRED = Said("fired is higher, we say", 3, edge="Al K", arms=("raw", "fired"), higher="fired")


def say(session: Session, said: Said = FIRED) -> int:
    return claims.claim(session.folder, DESK, STUDENT, said).number


def carried(session: Session) -> tuple[str, int | None]:
    found = answer(session, "say")[0]
    return found.verdict, found.detail["carried"]


@pytest.fixture
def shift(tmp_path):
    with opened(tmp_path / "shift", World(claimed=False)) as session:
        yield session


@pytest.fixture(scope="module")
def tried(tmp_path_factory):
    """A session in which a claim was said and tried, the book before and after, and the answer."""
    with opened(tmp_path_factory.mktemp("tried") / "shift", World(claimed=False)) as session:
        say(session)
        answer(session, "say")
        before = session.folder.events()
        heard = []
        (found,) = answer(session, "say", stress=True, tell=lambda *at: heard.append(at))
        yield session, before, found, heard


# --- The level moves both ways -------------------------------------------------------------------------


def test_before_anything_is_said_there_is_nothing_to_hold_against_the_data(shift):
    (found,) = answer(shift, "say")
    assert found.verdict == "cannot-tell" and found.would_change_it
    assert not any(event.kind == "look" for event in shift.folder.events())


def test_a_scan_set_aside_lowers_what_is_carried_and_kept_again_raises_it(shift):
    say(shift)
    assert carried(shift) == ("carried", 3)
    scan = next(s for s in shift.known().scans["Al K"] if s.place.unit == "PIT750 B")
    note.judge(shift.folder, DESK, HOST, scan.key, "set-aside")
    assert carried(shift) == ("not-carried", 2)
    missing = answer(shift, "say")[0].detail["missing"]
    assert [(one["code"], one["value"]) for one in missing] == [("three-units", 2.0)]
    note.judge(shift.folder, DESK, HOST, scan.key, "undo")
    assert carried(shift) == ("carried", 3)


def test_a_text_that_treats_units_together_lowers_what_is_carried_and_apart_raises_it(shift):
    say(shift)
    apart = shift.known().state.experiment_text
    together = apart.replace(
        '"arm": "fired", "pair": null, "batch": null', '"arm": "fired", "batch": "one fire"'
    )
    assert together.count("one fire") == 3
    edit.edit(shift.folder, DESK, HOST, together)
    verdict, level = carried(shift)
    assert verdict != "carried" and level <= 2
    assert "three-units" in [one["code"] for one in answer(shift, "say")[0].detail["missing"]]
    edit.edit(shift.folder, DESK, HOST, apart)
    assert carried(shift) == ("carried", 3)


def test_a_baseline_that_leaves_no_feature_lowers_what_is_carried_and_a_sane_one_raises_it(shift):
    say(shift)
    text = shift.known().state.experiment_text
    assert '"edge": "Al K", ' in text
    odd = '"edge": "Al K", "recipe": {"baseline": {"below_ev": [1566.5, 1570], "degree": 2}}, '
    edit.edit(shift.folder, DESK, HOST, text.replace('"edge": "Al K", ', odd))
    assert carried(shift)[0] != "carried"
    edit.edit(shift.folder, DESK, HOST, text)
    assert carried(shift) == ("carried", 3)


def test_the_wrong_direction_is_not_carried(shift):
    say(shift, replace(FIRED, higher="raw"))
    found = answer(shift, "say")[0]
    assert found.verdict == "not-carried"
    assert [one["code"] for one in found.detail["missing"]] == ["direction"]


def test_a_feature_of_the_claim_s_own_is_judged_by_the_whole_curve_as_found_after_looking(shift):
    flat = {"kind": "height", "windows": [[1590, 1592]]}
    say(shift, Said("the tail differs", 3, edge="Al K", feature=flat))
    found = answer(shift, "say")[0]
    assert found.verdict == "not-carried"
    assert [one["code"] for one in found.detail["missing"]] == ["feature"]
    assert any(caution.startswith("Found after looking") for caution in found.cautions)


def test_the_group_stands_before_single_seats_and_what_was_taken_back_is_gone(shift):
    first = say(shift)
    claims.claim(shift.folder, DESK, STUDENT, replace(FIRED, claim="I think so too"), by="0123456789abcdef")
    last = say(shift, replace(FIRED, level=2, claim="these two differ"))
    lines = [one.detail["claim"]["line"] for one in answer(shift, "say")]
    assert lines[0] == last and lines[1] == first and len(lines) == 3
    claims.take_back_claim(shift.folder, DESK, Who("host", "said twice"), last)
    assert [one.detail["claim"]["line"] for one in answer(shift, "say")][0] == first


# --- Stress ----------------------------------------------------------------------------------------------


def test_a_strong_difference_survives_whatever_is_tried(tried):
    _, _, found, _ = tried
    assert found.detail["survives"]["kept"] == found.detail["survives"]["tried"] == 30
    assert set(found.detail["survives"]["kinds"]) == {"unit", "scan", "slide", "baseline", "shuffle"}


def test_stress_enters_nothing_in_the_book_and_takes_no_look(tried):
    session, before, _, _ = tried
    assert session.folder.events() == before
    assert sum(event.kind == "look" for event in before) == 1


def test_stress_alone_takes_no_look_even_where_one_is_due(shift):
    say(shift)
    known = shift.known()
    before = shift.folder.events()
    stressed(shift, known, known.state.claims[0])
    assert shift.folder.events() == before and not known.state.looks


def test_stress_tells_how_far_it_is_and_is_made_once_for_a_moment(tried):
    session, _, found, heard = tried
    assert heard == [(n, 30) for n in range(1, 31)]
    again = []
    (same,) = answer(session, "say", stress=True, tell=lambda *at: again.append(at))
    assert again == [] and same.detail["survives"] == found.detail["survives"]
    assert answer(session, "say")[0].detail["survives"] == found.detail["survives"]


def test_other_words_for_the_same_kind_of_claim_are_not_tried_again(tried):
    session, _, found, _ = tried
    say(session, replace(FIRED, claim="the fired ones stand higher"))
    heard = []
    both = answer(session, "say", stress=True, tell=lambda *at: heard.append(at))
    assert heard == [] and both[0].detail["survives"] == found.detail["survives"]


def test_without_stress_the_answer_says_that_none_was_tried(shift):
    say(shift)
    found = answer(shift, "say")[0]
    assert found.detail["survives"] is None
    assert found.cautions[-1].startswith("No stress was tried yet")


def test_what_is_supposed_reads_as_if_people_had_done_it(shift):
    """The same path: a unit that is supposed away leaves what setting its scans aside would leave."""
    say(shift)
    answer(shift, "real")
    scan = next(s for s in shift.known().scans["Al K"] if s.place.unit == "PIT750 B")
    supposed = shift.supposing(shift.known(), [_event("judge", {"scan": scan.key, "verdict": "set-aside"})])
    then = answer_known(*supposed, "real", "Al K")[0]
    note.judge(shift.folder, DESK, HOST, scan.key, "set-aside")
    now = answer(shift, "real", "Al K")[0]
    assert replace(then, identity="") == replace(now, identity="")


def _event(kind, payload):
    return Event(0, "", kind, "host", "supposed", payload)


# --- The curtain -----------------------------------------------------------------------------------------


def _in_mirror(place, world: World) -> str:
    """All that a room can read of a claim, said by the names of what each group truly is."""
    with opened(place, world) as session:
        control, treated = (world.arms[world.arm_of[group]] for group in (0, 1))
        words = f"{world.unit(1, 0)} is {treated}, and higher"
        said = Said(words, 3, edge="Al K", arms=(control, treated), higher=treated, evidence=words)
        claims.claim(session.folder, DESK, STUDENT, said)
        known = session.veiled(session.known(), world.lot(0, 1))
        found = [replace(a, identity="") for a in answer_known(session, known, "say", stress=True)]
        naming = open_naming(known.experiment)
        told = as_json(found, naming) + as_text(found, naming) + repr(drawn(found)[0].figure)
        assert found[0].detail["survives"]["tried"] == 30 and found[0].verdict == "carried"
        assert not any(name in told for name in world.secrets)
        return told


def test_behind_the_curtain_a_claim_and_its_stress_are_the_same_in_the_mirror(tmp_path):
    world = World(words=("river clay", "burnt clay"), claimed=False)
    assert _in_mirror(tmp_path / "a", world) == _in_mirror(tmp_path / "b", world.mirrored)


# --- Results, and refusals -------------------------------------------------------------------------------


def test_results_hold_the_claims_that_stand(shift):
    ask_all(shift)
    assert not (shift.folder.path / "results" / "say.json").exists()
    say(shift)
    ask_all(shift)
    assert '"asked": 3' in (shift.folder.path / "results" / "say.json").read_text()


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (replace(FIRED, higher="kiln"), "arms of the experiment"),
        (replace(FIRED, arms=("raw",)), "one of the claim's arms"),
        (Said("it is higher", 2, higher="fired"), "the edge at which it is higher"),
    ],
)
def test_an_arm_that_is_no_arm_of_the_claim_cannot_be_the_higher_one(shift, said, words):
    with pytest.raises(NoteRefused, match=words):
        say(shift, said)


def test_a_shift_with_one_arm_carries_no_comparison(tmp_path):
    text = "arms: [{name: raw}]\nunits: [{name: RAW A, arm: raw}]\n"
    text += "specimens: [{name: RAW-A, unit: RAW A}]\n" + BEAMLINE
    files = [file for file in World(units=(1, 0)).files if file[0].startswith("RAW")]
    with begun(tmp_path / "one", files, text) as folder:
        session = Session(folder)
        say(session, Said("it differs", 2, edge="Al K"))
        found = answer(session, "say", stress=True)[0]
    assert (found.verdict, found.detail["carried"]) == ("cannot-tell", 1)
    assert [one["code"] for one in found.detail["missing"]] == ["two-arms"]


def test_a_change_that_denies_is_only_an_exchange_of_labels():
    assert Change("shuffle", "").denies and not Change("unit", "").denies
