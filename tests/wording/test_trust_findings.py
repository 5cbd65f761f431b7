"""What is said of several scans together: short, with a next act, and never more than the curves say."""

import pytest

from edgeshift.wording.figures import SHORT_REASONS
from edgeshift.wording.trust_findings import FINDINGS, KINDS, next_act, of_scans, sentence

SIZES = ("percent", "sigma", "slide", "at", "correlation", "limit")
NUMBERS = dict.fromkeys(SIZES, 123.4) | {
    "count": "Ten",
    "order": 2,
    "edge": "Fe L",
    "edges": "Al K, Fe L",
    "detector": "fluorescence",
    "since": "{scan:scan-025}",
}
NUMBERS |= {"first": "{arm:raw}", "second": "{arm:fired}", "arm": "{arm:fired}"}
SAID = [(code, {}) for code in FINDINGS] + [(code, {"kind": kind}) for code, kind in KINDS]


@pytest.mark.parametrize(("code", "more"), SAID)
def test_every_finding_is_said_in_at_most_twenty_words_and_has_a_next_act(code, more):
    assert len(sentence(code, NUMBERS | more).split()) <= 20
    assert 3 <= len(next_act(code, more).split()) <= 20


@pytest.mark.parametrize(("code", "more"), SAID)
def test_no_finding_borrows_words_that_promise_too_much(code, more):
    said = f"{sentence(code, NUMBERS | more)} {next_act(code, more)}".lower()
    assert not {"significant", "outlier", "error", "safe", "proved"} & set(said.replace(".", " ").split())


def test_a_kind_says_more_than_its_code_alone():
    for code, kind in KINDS:
        assert sentence(code, NUMBERS | {"kind": kind}) != sentence(code, NUMBERS)


def test_labels_are_never_said_to_be_wrong():
    said = sentence("labels-swapped", NUMBERS)
    assert "looks like the other group" in said and "check" in said
    assert "stays as it is" in next_act("labels-swapped", {})


def test_a_sentence_stands_behind_its_scans_unless_it_names_them():
    said = of_scans("They bend.", "{scan:scan-002}", 2)
    assert said == "{scan:scan-002} and two more: They bend."
    assert (
        of_scans("Since {scan:scan-002} all slid.", "{scan:scan-002}", 2) == "Since {scan:scan-002} all slid."
    )


def test_every_finding_has_a_short_name_for_pictures():
    assert set(FINDINGS) <= set(SHORT_REASONS)
