"""Two renderings of one answer: text for people, JSON for machines."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest
import sample_answers

from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.wording.names import Naming
from edgeshift.wording.plain import as_dict, as_json, as_lines, as_text, fact_line

NAMING = Naming({("arm", "raw"): "raw clay"})
SCANS = {
    "a.dat": {"scan": "scan-001", "verdict": "set-aside", "reasons": [{"code": "gap", "sentence": "A gap."}]},
    "b.dat": {"scan": "scan-002", "verdict": "keep", "reasons": []},
}
ANSWER = Answer(
    "trust",
    "some-set-aside",
    "One of {arm:raw} set aside.",
    "Al K",
    (Fact("gap", "gap of {scan:scan-001}", 0.5, 0.1, "eV", (Ref("scan", "scan-001"),)), Fact("x", "plain")),
    ("Scan again.",),
    ("Look twice.",),
    {"scans": SCANS},
    "f" * 64,
)


def test_text_says_everything_in_order_with_names():
    assert as_text([ANSWER], NAMING).splitlines() == [
        "Al K: One of raw clay set aside.",
        "  verdict: some-set-aside",
        "  because: gap of scan-001: 0.50, give or take 0.10 eV",
        "  because: plain",
        "  a.dat, set aside: A gap.",
        "  would change it: Scan again.",
        "  caution: Look twice.",
    ]


def test_answers_stand_apart_and_end_with_one_line_end():
    text = as_text([ANSWER, replace(ANSWER, edge=None)])
    assert text.count("\n\n") == 1
    assert text.endswith(".\n") and not text.endswith("\n\n")
    assert as_lines([ANSWER, replace(ANSWER, edge=None)], NAMING) == (
        "Al K: One of raw clay set aside.\nOne of raw clay set aside.\n"
    )


def test_json_is_a_list_even_of_none_or_one():
    assert json.loads(as_json([])) == []
    assert len(json.loads(as_json([ANSWER]))) == 1


def test_json_has_one_line_sorted_keys_and_the_same_bytes():
    text = as_json([ANSWER, sample_answers.real()], NAMING)
    assert text.count("\n") == 1
    for found in json.loads(text):
        assert list(found) == sorted(found)
    assert text == as_json([ANSWER, sample_answers.real()], NAMING)


def test_json_says_what_the_answer_says():
    (found,) = json.loads(as_json([ANSWER], NAMING))
    assert found["sentence"] == "One of raw clay set aside."
    assert found["because"][0] == {
        "code": "gap", "what": "gap of scan-001", "value": 0.5, "uncertainty": 0.1, "unit": "eV",
        "evidence": [["scan", "scan-001"]],
    }  # fmt: skip
    assert (found["would_change_it"], found["cautions"], found["identity"]) == (
        ["Scan again."], ["Look twice."], "f" * 64,
    )  # fmt: skip


def test_the_figure_takes_no_part():
    assert "figure" not in as_dict(replace(ANSWER, figure=object()))


@pytest.mark.parametrize("odd", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_null_everywhere(odd):
    facts = (Fact("x", "odd", odd, odd, "eV"),)
    (found,) = json.loads(as_json([replace(ANSWER, because=facts, detail={"a": [odd, (1, odd)]})]))
    assert (found["because"][0]["value"], found["because"][0]["uncertainty"]) == (None, None)
    assert found["detail"]["a"] == [None, [1, None]]
    assert "nan" not in fact_line(facts[0]) and "inf" not in fact_line(facts[0])


def test_letters_of_every_script_stay_letters():
    assert "Töpferton ÷ 粘土" in as_json([replace(ANSWER, sentence="Töpferton ÷ 粘土")])


def test_a_whole_sentence_is_not_followed_by_the_number_that_it_holds():
    assert fact_line(Fact("damage", "It changes by 5 %.", 5.0, 1.0, "%")) == "It changes by 5 %."
    assert (
        fact_line(Fact("damage", "change of shape", 5.0, 1.0, "%"))
        == "change of shape: 5.0, give or take 1.0 %"
    )
