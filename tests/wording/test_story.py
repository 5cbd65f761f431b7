"""The story tells what happened in order, in at most a minute, and nothing that was taken back."""

import re

import pytest

from edgeshift.records.answer import Answer
from edgeshift.records.event import Event
from edgeshift.records.scan import Scan
from edgeshift.records.shift_state import replay
from edgeshift.wording.story import MOST_WORDS, NOTHING, as_lines, moments_in, sentence, shortened, told

FEATURE = {"kind": "ratio", "windows": [[1, 2], [3, 4]], "words": "early over late peak"}
CARDS = [{"title": "one more pot", "minutes": 24.0}, {"title": "stop", "minutes": 5.0}]


def book(*lines):
    """Events a minute apart: (kind, payload[, role[, reason]])."""
    return [
        Event(n, f"2026-03-01T08:{n:02d}:00Z", kind, *(*more, *("host", "")[len(more) :]), payload)
        for n, (kind, payload, *more) in enumerate((("experiment", {"text": ""}), *lines), 1)
    ]


def arrival(key):
    return "arrival", {"scan": key, "file": f"{key}.dat", "sha256": key}, "tool"


def scan(key, edge="Al K"):
    return Scan(key, f"{key}.dat", key, edge, None, None, {}, "i0")


def sentences(*lines, scans=(), answers=()):
    return [sentence(one) for one in told("", replay(book(*lines)), scans, answers).moments]


def trust(**scans):
    said = {
        f"{key}.dat": {"scan": key.replace("_", "-"), "verdict": verdict, "reasons": list(reasons)}
        for key, (verdict, *reasons) in scans.items()
    }
    return Answer("trust", "all-kept", "", detail={"scans": said})


def reason(code, words):
    return {"code": code, "sentence": words}


def test_scans_in_a_row_are_one_moment():
    keys = ("scan-001", "scan-002", "scan-003")
    edges = ("Al K", "Al K", "Fe L")
    lines = [*map(arrival, keys), ("write", {"text": "coffee"}), arrival("scan-004")]
    scans = [scan(key, edge) for key, edge in zip(keys, edges, strict=True)] + [scan("scan-004")]
    assert sentences(*lines, scans=scans) == [
        "Scanned since 8:02: two at Al K, one at Fe L.",
        "Noted: “coffee”",
        "Scanned since 8:06: one at Al K.",
    ]


def test_what_the_tool_set_aside_is_told_with_its_reason():
    kept = ("keep-with-a-note", reason("spike", "A blip stands out."))
    aside = ("set-aside", reason("noisy", "Its noise is 3.0 times that of others."))
    found = sentences(
        arrival("scan-001"), arrival("scan-002"),
        scans=[scan("scan-001"), scan("scan-002")], answers=[trust(scan_001=kept, scan_002=aside)],
    )  # fmt: skip
    assert found[-1] == "Scan 2 set aside: its noise is 3.0 times that of others."
    assert not any("blip" in one for one in found)


def test_a_beam_trip_is_told_whether_or_not_its_scan_was_kept():
    dropped = reason("beam-dropped", "The incoming beam fell away near 1560.0 eV.")
    answers = [
        trust(
            scan_001=("keep-with-a-note", dropped), scan_002=("set-aside", reason("gap", "A gap."), dropped)
        )
    ]
    state = replay(book(arrival("scan-001"), arrival("scan-002")))
    found = moments_in(state, [scan("scan-001"), scan("scan-002")], answers)
    assert [(one.kind, one.words) for one in found if one.kind == "trip"] == [
        ("trip", "Scan 1: the incoming beam fell away near 1560.0 eV."),
        ("trip", "Scan 2 set aside: the incoming beam fell away near 1560.0 eV."),
    ]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("declare", {"edge": "Al K", "feature": FEATURE}, "host", "as planned"),
         "Declared at Al K: early over late peak. “as planned”"),
        (("judge", {"scan": "scan-001", "verdict": "set-aside"}, "host", "shutter"),
         "Scan 1 set aside by the host. “shutter”"),
        (("judge", {"scan": "scan-001", "verdict": "keep"}, "host", "x"), "Scan 1 kept by the host. “x”"),
        (("tie", {"edge": "Fe L", "shift_ev": 0.2, "sigma_ev": 0.1, "source": "hematite"}),
         "Energies of Fe L tied by +0.20 eV. “hematite”"),
        (("tie", {"scans": ["scan-001"], "shift_ev": -0.2, "sigma_ev": 0.1, "source": "x"}),
         "Energies of scan 1 tied by -0.20 eV. “x”"),
        (("place", {"scan": "scan-001", "specimen": "RAW-A", "spot": "s2"}), "Scan 1 was on RAW-A s2."),
        (("decide", {"card": "one more pot", "minutes": 24.0}, "student", "pots matter"),
         "Decided: one more pot, 24 min. “pots matter”"),
        (("claim", {"claim": "They differ.", "level": 2}, "student"), "Claimed, level 2: “They differ.”"),
        (("curtain", {"drawn": True, "lot": ["a", "b"]}), "Curtain drawn."),
        (("accept", {"worry": "no-tie"}, "host", "no minutes"), "A worry was accepted. “no minutes”"),
        (
            ("isolate", {"load": "1", "at_min": 3, "seconds": [0.0, 60.0], "mbar": [1, 2]}),
            "Pump shut off for 60 s.",
        ),
        (("experiment", {"text": "x"}, "host", "a slip"), "Experiment text changed. “a slip”"),
    ],
)  # fmt: skip
def test_each_act_is_told_in_one_line(line, words):
    assert sentences(line) == [words]


def test_a_vote_is_told_when_it_was_closed_and_never_before():
    opening = ("round", {"round": "vote-1", "sort": "vote", "state": "open", "cards": CARDS})
    votes = [("vote", {"round": "vote-1", "card": "one more pot", "by": seat}, "student") for seat in "ab"]
    assert sentences(opening, *votes) == []
    closing = ("round", {"round": "vote-1", "sort": "vote", "state": "closed"})
    assert sentences(opening, *votes, closing) == ["Two voted: 2 for “one more pot”."]


def test_sketches_are_counted_when_the_trace_has_landed():
    opening = ("round", {"round": "g", "sort": "guess", "state": "open", "edge": "Al K", "specimen": "RAW-A"})
    drawn = ("guess", {"round": "g", "points": [[1, 2]], "by": "a"}, "student")
    closing = ("round", {"round": "g", "sort": "guess", "state": "closed", "met": "scan-001"}, "tool")
    assert sentences(opening, drawn, closing) == ["One sketched RAW-A at Al K."]


def test_what_was_taken_back_is_not_told():
    assert sentences(("decide", {"card": "x", "minutes": 1}), ("decide", {"undo": 2})) == []
    assert sentences(("claim", {"claim": "x", "level": 1}), ("claim", {"take_back": 2})) == []
    judged = ("judge", {"scan": "scan-001", "verdict": "set-aside"}, "host", "x")
    assert sentences(judged, ("judge", {"scan": "scan-001", "verdict": "undo"}, "host", "y")) == []


def test_looks_in_a_row_are_one_moment():
    looks = [("look", {"edge": edge}, "tool") for edge in ("Al K", "Fe L")]
    assert sentences(*looks) == ["Units judged at Al K, Fe L."]


def test_nothing_yet_is_said():
    assert as_lines(told("more fire?", replay(book()), (), ())) == ["more fire?", NOTHING]


def test_an_answer_stands_behind_its_edge_at_the_end():
    answers = [Answer("real", "units", "They differ.", "Al K"), Answer("real", "units", "All differ.")]
    assert as_lines(told("", replay(book()), (), answers))[-2:] == ["Al K: They differ.", "All differ."]


def test_the_clock_of_the_day_orders_the_moments():
    by_day = {"2026-03-01T08:02:00Z": "2026-03-01T09:00:00Z", "2026-03-01T08:03:00Z": "2026-03-01T07:00:00Z"}
    state = replay(book(("write", {"text": "late"}), ("write", {"text": "early"})))
    assert as_lines(told("", state, (), (), by_day.get)) == ["7:00  Noted: “early”", "9:00  Noted: “late”"]


LONG = [("write", {"text": f"note {n} " + "word " * 30}) for n in range(20)]
SHORT = [("decide", {"card": "one more pot", "minutes": 24.0}, "host", "why"),
         ("claim", {"claim": "They differ.", "level": 2}, "student")]  # fmt: skip


def spoken(story):
    return len(re.findall(r"[\w.:-]*\w", " ".join(as_lines(story))))


def test_a_short_telling_holds_a_minute_and_says_what_it_left_out():
    short = shortened(told("more fire?", replay(book(*SHORT, *LONG)), (), ()))
    assert spoken(short) <= MOST_WORDS
    assert short.left_out == 22 - len(short.moments) > 0
    assert any("more lines not told here." in line for line in as_lines(short))


def test_what_people_claimed_and_decided_is_told_before_notes():
    short = shortened(told("", replay(book(*SHORT, *LONG)), (), ()), most=60)
    assert [one.kind for one in short.moments][:2] == ["decision", "claim"]
    assert [one.time for one in short.moments] == sorted(one.time for one in short.moments)


def test_a_long_quotation_is_cut_where_it_is_told_shortly_and_kept_in_the_whole():
    whole = told("", replay(book(LONG[0])), (), ())
    assert shortened(whole).moments[0].own.endswith(" …")
    assert len(whole.moments[0].own.split()) > 30


def test_a_story_that_is_short_is_told_whole():
    whole = told("", replay(book(*SHORT)), (), ())
    assert shortened(whole) == whole


def test_ten_edges_leave_room_for_the_day():
    words = "They differ beyond repeat scans, but not beyond the scatter of their units at all."
    answers = [
        Answer("real", "scans", words, f"{name} K") for name in ("C", "N", "O", "F", "Na", "Mg", "Al", "Si")
    ]
    answers.append(Answer("real", "scans", "All of them differ."))
    whole = told("", replay(book(*SHORT, ("write", {"text": "coffee"}))), (), [*answers, *answers])
    short = shortened(whole)
    assert spoken(short) <= MOST_WORDS
    assert [one.kind for one in short.moments] == ["decision", "claim", "note"]
    assert sum(one.edge is None for one in short.answers) == 2, "those that sum up are told"
    assert 0 < short.left_out == len(whole.answers) - len(short.answers)
