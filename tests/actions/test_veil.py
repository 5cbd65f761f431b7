"""Behind the curtain nothing tells which arm is which, and nothing else is told than in the open."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from practised import begun, files
from veiled_shifts import World, behind, everything, opened, shown

from edgeshift.actions import shelf as shelf_acts
from edgeshift.actions.ask import answer, answer_known, drawn
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.session import Session
from edgeshift.actions.take import take
from edgeshift.actions.veil import looks_behind, scan_words, veiled
from edgeshift.errors import NoteRefused
from edgeshift.folder.shelf import Shelf
from edgeshift.records.event import Event
from edgeshift.records.scan import Place
from edgeshift.records.standard import EnergyTie

PAIRS = World(paired=True, words=("raw clay", "pit-fired clay"))
FREE = World(units=(3, 4), batch="the big fire", scans=2)
THREE = World(("raw", "warm", "hot"), ("RAW", "PIT750", "KILN"), (3, 3, 3), (0, 1, 2), paired=True)
LANDING = [("new.dat", World(scans=2).files[6][1])]
"""A second scan of the first unit."""
WORLDS = {"pairs": PAIRS, "unpaired": FREE, "three arms": THREE}
NAMES = {
    "one in the other": (("clay", "clay fired"), ("c", "cc")),
    "single letters": (("A", "B"), ("P-A", "Q-B")),
    "the letters of the curtain, crossed": (("Q", "P"), ("Q-A", "P")),
    "regular expressions": ((r"r.*w|", r"(f+)\d["), ("a+", "a|b")),
    "accents": (("s\u00e9ch\u00e9", "se\u0301che\u0301 cuit"), ("Grün", "GRÜN2")),
    "without blanks": (("生粘土", "焼いた生粘土"), ("生", "焼")),
    "words of our own": (("scan", "keep"), ("because", "verdict")),
    "everyday words": (("no", "the"), ("is", "it")),
}


@pytest.fixture(scope="module", params=WORLDS)
def told(request, tmp_path_factory):
    """A world, its session, what is known behind the curtain (the last group is P), and all answers."""
    world = WORLDS[request.param]
    order = tuple(range(len(world.arms)))[::-1]
    with opened(tmp_path_factory.mktemp("shift") / "open", world) as session:
        known = behind(session, world, *order)
        yield world, session, known, everything(session, known, "Q-A")


def test_no_secret_is_in_any_answer_picture_or_alternative_text(told):
    world, _, known, found = told
    text = shown(known, found)
    for secret in world.secrets:
        assert not re.search(rf"(?<!\w){re.escape(secret)}(?!\w)", text, re.IGNORECASE), secret
    assert not re.search("PIT750|pit-|treated minus|No arm is called", text)
    assert "Q minus P" in text or len(world.arms) > 2


def test_no_secret_is_in_what_is_known(told):
    world, _, known, _ = told
    text = repr((known.state, known.experiment, known.judged))
    text += repr(
        [(s.file, s.sha256, s.place, s.doubts, s.tie) for some in known.scans.values() for s in some]
    )
    for secret in world.secrets:
        assert not re.search(rf"(?<!\w){re.escape(secret)}(?!\w)", text, re.IGNORECASE), secret
    for arrival in known.open.state.arrivals.values():
        assert arrival.sha256 not in text


def test_verdicts_and_sizes_are_those_of_the_open(told):
    _, session, known, found = told
    (true,) = {name for name, alias in known.aliases.specimens.items() if alias == "Q-A"}
    bare = everything(session, known.open, true)
    by_name = {_name(known, each): each for each in bare}
    for veil in found:
        same = by_name[_name(known, veil, veiled=True)]
        assert veil.verdict == same.verdict
        assert [fact.code for fact in veil.because] == [fact.code for fact in same.because]
        for one, other in zip(veil.because, same.because, strict=True):
            if one.value is not None and one.code != "left":  # what was asked in between is in the book
                assert abs(one.value) == pytest.approx(abs(other.value), rel=1e-6, abs=1e-9)
            if one.uncertainty is not None:
                assert one.uncertainty == pytest.approx(other.uncertainty, rel=1e-6)
        assert veil.detail.get("rungs") == same.detail.get("rungs")
        assert len(veil.cautions) == len(same.cautions)


def _name(known, found, veiled=False):
    """Question, edge, the treated arm where there are several, and whether two scans were compared."""
    treated = tuple(found.detail.get("treated") or ()) if len(known.experiment.arms) > 2 else ()
    back = {alias: name for name, alias in known.aliases.arms.items()}
    arms = tuple(back[arm] for arm in treated) if veiled else treated
    return found.question, found.edge, arms, "autopsy" in found.detail, "shares" in found.detail


def test_amounts_shares_and_standards_from_the_shelf_hold_no_name_either(tmp_path):
    """Of two edges, so that there is something to tell amounts against."""
    shelf = Shelf(tmp_path / "shelf")
    with begun(tmp_path / "shift", files("AlK") + files("SiK")) as folder:
        session = Session(folder)
        passes = session.flagged(session.known())["Al K"]
        scan = replace(passes[0].scan, place=Place("albite"))
        shelf_acts.add(shelf, shelf_acts.from_scan("albite", scan, "another beamline"))
        tie = EnergyTie(0.0, 0.05, "the same peak of the raw clay", "2026-03-01T08:00:00Z")
        shelf_acts.lend(folder.path, shelf, "albite", None, Who("host"), steady_desk(), tie)
        known = session.veiled(session.known(), ("fired", "raw"))
        found = [
            *answer_known(session, known, "here", against="Al"),
            *answer_known(session, known, "here", "Al K", shares=True),
        ]
        bare = answer_known(session, known.open, "here", against="Al")
        text = shown(known, drawn(found))
    assert not re.search(r"(?<!\w)(RAW|PIT750|raw|fired|pit-fired)(?!\w)", text, re.IGNORECASE)
    assert "albite" in text and "P-A" in text
    (arms, open_arms) = (one[0].detail["amounts"]["arms"] for one in (found, bare))
    assert {one["control"] for one in arms} == {"P"} and {one["control"] for one in open_arms} == {"raw"}


def test_with_two_arms_the_sign_turns_with_the_lot_and_nothing_else_does(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        sizes = [
            answer_known(session, behind(session, PAIRS, *order), "real", "Al K")[0].detail["feature"]
            for order in ((0, 1), (1, 0))
        ]
    assert sizes[0]["difference"] == pytest.approx(-sizes[1]["difference"])
    assert sizes[0]["difference"] > 0.05


@pytest.mark.parametrize("world", [PAIRS, FREE], ids=["pairs", "unpaired"])
@pytest.mark.parametrize("looked_before", [False, True], ids=["drawn from the start", "drawn after a look"])
def test_an_experiment_and_its_mirror_image_cannot_be_told_apart(tmp_path, world, looked_before):
    """The proof: what lay in the one arm lies in the other, the lot is the other one, and every byte of what
    a room could see is the same."""
    told = []
    for nth, one in enumerate((world, world.mirrored)):
        with opened(tmp_path / str(nth), one) as session:
            if looked_before:
                answer(session, "real")
            known = behind(session, one, 0, 1)
            told.append(shown(known, everything(session, known, "P-A")))
            assert {known.open.experiment.control.name} == {"raw"}
    assert told[0] == told[1]


def test_the_mirror_image_is_another_one_in_the_open(tmp_path):
    told = []
    for nth, one in enumerate((PAIRS, PAIRS.mirrored)):
        with opened(tmp_path / str(nth), one) as session:
            told.append(answer(session, "real", "Al K")[0].detail["feature"]["difference"])
    assert told[0] == pytest.approx(-told[1])


@pytest.mark.parametrize("names", NAMES)
@pytest.mark.parametrize("paired", [True, False], ids=["pairs", "unpaired"])
def test_no_name_leaves_a_trace(tmp_path, names, paired):
    """The same happenings under other names look the same to the last byte, whatever the names are."""
    plain = World(paired=paired)
    arms, groups = NAMES[names]
    told = []
    for nth, world in enumerate((plain, replace(plain, arms=arms, groups=groups))):
        with opened(tmp_path / str(nth), world) as session:
            known = behind(session, world, 1, 0)
            told.append(shown(known, everything(session, known)))
    assert told[0] == told[1]


def test_which_of_three_arms_is_treated_how_cannot_be_told(tmp_path):
    """With more than two arms it shows which one the others are compared with, and no more."""
    told = []
    for nth, arms in enumerate((("raw", "warm", "hot"), ("raw", "hot", "warm"))):
        world = replace(THREE, arms=arms)
        with opened(tmp_path / str(nth), world) as session:
            known = behind(session, world, 2, 0, 1)
            told.append(shown(known, everything(session, known)))
            assert known.experiment.control.name == "Q"
            assert {a.detail["control"] for a in answer_known(session, known, "real") if a.edge} == {"Q"}
    assert told[0] == told[1]


def test_units_keep_a_letter_pairs_share_it_and_the_rest_is_named_by_its_unit(tmp_path):
    with opened(tmp_path / "pairs", PAIRS) as session:
        known = behind(session, PAIRS, 1, 0)
        assert dict(known.aliases.units) == {
            "PIT750 A": "P-A", "PIT750 B": "P-B", "PIT750 C": "P-C",
            "RAW A": "Q-A", "RAW B": "Q-B", "RAW C": "Q-C",
        }  # fmt: skip
        assert {unit.pair for unit in known.experiment.units} == {"A", "B", "C"}
        scans = {scan.key: scan for some in known.scans.values() for scan in some}
        assert (scans["scan-001"].file, scans["scan-001"].place.specimen) == ("scan 1", "Q-A")
        assert scans["scan-007"].place.specimen == "feldspar"
        assert scans["scan-008"].place.specimen == "unlisted 1"
        assert known.state.arrivals["scan-002"].copies == ("scan 2 copy",)
    with opened(tmp_path / "free", FREE) as session:
        known = behind(session, FREE, 0, 1)
        assert {unit.batch for unit in known.experiment.units} == {None, "Q-C+D"}


def test_the_book_holds_the_true_names_of_looks_that_were_taken_behind_the_curtain(tmp_path):
    looks = []
    for nth, order in enumerate((None, (0, 1), (1, 0))):
        with opened(tmp_path / str(nth), PAIRS) as session:
            known = session.known() if order is None else behind(session, PAIRS, *order)
            answer_known(session, known, "real")
            looks.append([dict(e.payload) for e in session.folder.events() if e.kind == "look"])
    assert looks[0] == looks[1] == looks[2]
    assert [(look["control"], look["treated"]) for look in looks[0]] == [("raw", "fired")]


def test_nobody_finds_a_scan_by_the_name_of_its_file(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        known = behind(session, PAIRS, 0, 1)
        for said in (PAIRS.file(0, 0, 0), f"again {PAIRS.specimen(1, 0)}.dat"):
            with pytest.raises(NoteRefused, match="a scan in this experiment"):
                answer_known(session, known, "trust", compare=(said, "2"))
        assert answer_known(session, known, "trust", compare=("scan 1", "scan 2"))


def test_the_identity_says_that_a_curtain_is_drawn_and_not_by_which_lot(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        answer(session, "real")
        every = [session.known(), behind(session, PAIRS, 0, 1), behind(session, PAIRS, 1, 0)]
        bare, one, other = ([a.identity for a in everything(session, known)] for known in every)
    assert one == other
    assert not set(bare) & set(one)


def test_a_file_that_lands_leaves_every_other_scan_and_text_as_it_was(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        before = behind(session, PAIRS, 0, 1)
        take(session.folder, LANDING, steady_desk())
        after = behind(session, PAIRS, 0, 1)
    same = {id(scan) for some in before.scans.values() for scan in some}
    fresh = [scan for some in after.scans.values() for scan in some if id(scan) not in same]
    assert len(fresh) == 1
    assert after.experiment is before.experiment


def test_a_warm_veil_answers_as_a_fresh_one(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        everything(session, behind(session, PAIRS, 1, 0))
        take(session.folder, LANDING, steady_desk())
        known = behind(session, PAIRS, 1, 0)
        fresh = Session(session.folder)
        assert everything(session, known) == everything(fresh, behind(fresh, PAIRS, 1, 0))


def test_a_rewound_moment_is_veiled_too(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        answer(session, "real")
        last = session.known().state.events[-1]
        take(session.folder, LANDING, steady_desk("2026-03-02T09:00:00Z"))
        then = session.veiled(session.known(last.time), PAIRS.lot(1, 0))
        assert "scan-009" in session.known().state.arrivals and "scan-009" not in then.state.arrivals
        rewound = everything(session, then)
        assert not re.search(r"\b(raw|fired|RAW|PIT750)\b", shown(then, rewound))
        assert next(a for a in rewound if a.question == "real").verdict == "units"


def test_arms_that_no_lot_was_drawn_for_get_the_letters_left_over(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        known = session.known()
        assert dict(veiled(known, ("dry", "fired")).aliases.arms) == {"raw": "P", "fired": "Q"}
        assert set(veiled(known, ()).aliases.arms.values()) == {"P", "Q"}


def test_a_standard_that_is_called_like_something_behind_the_curtain_gets_another_name(tmp_path):
    world = replace(PAIRS, standard="P-A")
    with opened(tmp_path / "shift", world) as session:
        known = behind(session, world, 0, 1)
        places = {scan.key: scan.place.specimen for some in known.scans.values() for scan in some}
    assert (places["scan-001"], places["scan-007"]) == ("P-A", "standard P-A")


def test_the_lot_and_what_it_was_drawn_from_stay_behind_the_curtain(tmp_path):
    """Also where something new stands in the book: what nobody thought of is hushed."""
    payloads = {
        "curtain": {"drawn": True, "lot": ["fired", "raw"], "seed": 77},
        "claim": {"claim": "the pit-fired one is higher", "arms": ["fired"], "level": 3, "by": "seat-1"},
        "another": {"specimen": "PIT750-A", "scan": "scan-002", "deep": [{"text": "RAW-B, at last"}]},
    }
    with opened(tmp_path / "shift", PAIRS) as session:
        known = session.known()
        more = [Event(90 + n, "2026-03-01T10:00:00Z", *both) for n, both in enumerate(_events(payloads))]
        state = replace(known.state, events=(*known.state.events, *more))
        seen = veiled(replace(known, state=state), PAIRS.lot(1, 0)).state.events[-3:]
    assert [dict(event.payload) for event in seen] == [
        {"drawn": True},
        {"claim": "the … one is higher", "arms": ["P"], "level": 3, "by": "seat-1"},
        {"specimen": "P-A", "scan": "scan-002", "deep": [{"text": "…, at last"}]},
    ]


def test_names_that_an_arm_had_in_an_earlier_text_are_hushed_too(tmp_path):
    with opened(tmp_path / "shift", PAIRS) as session:
        text = session.folder.experiment_text()
        (session.folder.path / "experiment.yaml").write_text(text.replace("raw", "plain"), encoding="utf-8")
        assert steady_desk().accept_hand_edit(session.folder) is None
        known = behind(session, replace(PAIRS, arms=("plain", "fired")), 0, 1)
        (wrote,) = known.state.notes
    assert wrote.payload["text"] == "…: …"


def _events(payloads):
    return [(kind, "host", "", payload) for kind, payload in payloads.items()]


def test_arms_are_drawn_by_their_place_in_the_lot(tmp_path):
    with opened(tmp_path / "two", PAIRS) as session:
        known = behind(session, PAIRS, 1, 0)
        (found,) = answer_known(session, known, "real", "Al K")
        looks = looks_behind(known, found)
        assert (looks["control"].marker, looks["treated"].marker) == ("box", "triangle")
    with opened(tmp_path / "three", THREE) as session:
        known = behind(session, THREE, 2, 1, 0)
        markers = {}
        for found in answer_known(session, known, "real", "Al K"):
            looks = looks_behind(known, found)
            markers |= {found.detail["control"]: looks["control"].marker}
            markers |= {found.detail["treated"][0]: looks["treated"].marker}
        assert markers == {"P": "box", "Q": "triangle", "R": "lozenge"}


@pytest.mark.parametrize(("key", "words"), [("scan-017", "scan 17"), ("scan-1000", "scan 1000"), ("x", "x")])
def test_a_scan_is_called_by_its_number(key, words):
    assert scan_words(key) == words
