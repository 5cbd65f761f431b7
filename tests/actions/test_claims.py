"""Claims are kept all, in the group's own words; a later one may stand for an earlier one."""

from dataclasses import replace

import pytest
from a_room import GUEST, HOST, OTHER_SEAT, SEAT, state

from edgeshift.actions import claims
from edgeshift.actions.claims import Said, claim, take_back_claim
from edgeshift.actions.entering import Who
from edgeshift.errors import NoteRefused

SAID = Said(
    "Fired clay holds less of it.",
    3,
    "Three pairs moved one way.",
    "That is beyond their own scatter.",
    "Al K",
    {"kind": "ratio", "windows": [[1566, 1567], [1568, 1569]]},
    ["raw", "fired"],
)
SORRY = Who("student", "we said too much")


def test_a_claim_keeps_the_words_and_what_kind_it_is(folder, desk):
    event = claim(folder, desk, GUEST, SAID, SEAT)
    [kept] = state(folder).claims
    assert (kept.number, kept.claim, kept.evidence, kept.reason) == (
        event.number,
        SAID.claim,
        SAID.evidence,
        SAID.reason,
    )
    assert (kept.level, kept.edge, kept.arms, kept.by) == (3, "Al K", ("raw", "fired"), SEAT)
    assert kept.feature["windows"] == [[1566.0, 1567.0], [1568.0, 1569.0]]
    assert kept.stands


def test_a_claim_said_instead_leaves_the_first_in_the_book(folder, desk):
    first = claim(folder, desk, GUEST, SAID, SEAT).number
    then = claim(folder, desk, GUEST, Said("They differ.", 2), SEAT, instead_of=first).number
    assert [(c.number, c.replaced_by, c.stands) for c in state(folder).claims] == [
        (first, then, False),
        (then, None, True),
    ]
    with pytest.raises(
        NoteRefused, match=f"claim {first}: needed a claim that stands, found one that no lon"
    ):
        claim(folder, desk, GUEST, SAID, SEAT, instead_of=first)
    with pytest.raises(NoteRefused, match="claim 99: needed a claim that stands, found none"):
        claim(folder, desk, GUEST, SAID, SEAT, instead_of=99)


def test_a_guest_replaces_and_takes_back_claims_of_their_own_seat_only(folder, desk):
    number = claim(folder, desk, GUEST, SAID, SEAT).number
    with pytest.raises(NoteRefused, match="needed a claim of the same seat, found that of another seat"):
        claim(folder, desk, GUEST, SAID, OTHER_SEAT, instead_of=number)
    with pytest.raises(NoteRefused, match="needed a claim of the same seat"):
        take_back_claim(folder, desk, SORRY, number)
    take_back_claim(folder, desk, SORRY, number, SEAT)
    assert not state(folder).claims[0].stands


def test_the_host_takes_back_any_claim_and_says_why(folder, desk):
    number = claim(folder, desk, GUEST, SAID, SEAT).number
    with pytest.raises(NoteRefused, match="taking a claim back: needed a reason, found none"):
        take_back_claim(folder, desk, Who("host"), number)
    take_back_claim(folder, desk, HOST, number)
    assert [c.taken_back for c in state(folder).claims] == [True]


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"claim": "  "}, "the claim: needed some words, found none"),
        ({"claim": "x" * 281}, "the claim: needed at most 280 letters, found 281"),
        ({"evidence": "x" * 601}, "the evidence: needed at most 600 letters, found 601"),
        ({"reason": "x" * 601}, "why it follows: needed at most 600 letters, found 601"),
        ({"level": 7}, "the claim level: needed 0 to 6, found 7"),
        ({"level": -1}, "the claim level: needed 0 to 6, found -1"),
        ({"level": True}, "the claim level: needed 0 to 6, found True"),
        ({"level": 2.5}, "the claim level: needed 0 to 6, found 2.5"),
        ({"edge": "Zz K"}, r"the claim \(edge\): needed an element and a shell"),
        ({"edge": None}, "the claim: needed the edge of its feature, found none"),
        ({"feature": {"kind": "slope", "windows": [[1, 2]]}}, r"\(feature, kind\): needed 'ratio'"),
        ({"arms": ["glazed"]}, "the arms of the claim: needed arms of the experiment, each once"),
        ({"arms": ["raw", "raw"]}, "the arms of the claim: needed arms of the experiment, each once"),
    ],
)
def test_what_is_no_claim_is_refused(folder, desk, wrong, words):
    with pytest.raises(NoteRefused, match=words):
        claim(folder, desk, GUEST, replace(SAID, **wrong), SEAT)
    assert state(folder).claims == ()


def test_a_refused_arm_tells_no_name_of_the_others(folder, desk):
    with pytest.raises(NoteRefused) as refusal:
        claim(folder, desk, GUEST, replace(SAID, arms=["P"]), SEAT)
    assert "raw" not in str(refusal.value)
    assert "fired" not in str(refusal.value)


def test_a_seat_makes_so_many_claims(folder, desk, monkeypatch):
    monkeypatch.setattr(claims, "MOST_CLAIMS", 1)
    claim(folder, desk, GUEST, SAID, SEAT)
    with pytest.raises(NoteRefused, match="this seat: needed at most 1 claims, found one more"):
        claim(folder, desk, GUEST, SAID, SEAT)
    claim(folder, desk, GUEST, SAID)
