"""Specimens that differ: the sentence, the table and the reasons name them, and speak of one line-up."""

from __future__ import annotations

import numpy as np
import pytest
from invented_scans import FE_L, asked, iron, scan

from edgeshift.questions.here.answering import with_form
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Place
from edgeshift.reduction.pipeline import flagged, reduce_edge
from edgeshift.wording import here as words

C_K = np.arange(275.0, 320.0, 0.2)
TAPED = {"specimens": [{"name": "TAPE", "kind": "blank"}, {"name": "POT"}, {"name": "KILN"}]}


def carbon(at: float) -> np.ndarray:
    """A step with a line of its own at this place, in shares of the ground."""
    step = 0.2 * (0.5 + np.arctan((C_K - 289.0) / 0.5) / np.pi)
    return step + 0.25 * np.exp(-(((C_K - at) / 0.8) ** 2))


def of(name: str, curve: np.ndarray, seed: int):
    return scan(C_K, curve, edge="C K", place=Place(name, "s1"), seed=seed, beam=np.ones(C_K.size))


@pytest.fixture(scope="module")
def shift():
    """Bare tape, a piece that looks just like it, and a pot with carbon of its own."""
    return of("TAPE", carbon(287.5), 1), of("KILN", carbon(287.5), 2), of("POT", carbon(290.5), 3)


@pytest.fixture(scope="module")
def found(shift):
    return asked(*shift, text=TAPED, edge="C K")


def test_the_sentence_says_who_has_it_and_of_whom_nobody_can_tell(found):
    assert found.sentence == (
        "Carbon is seen in {specimen:POT}; cannot tell in {specimen:KILN}:"
        " the bare mount {specimen:TAPE} explains it as well."
    )
    assert found.verdict == "partly"
    assert found.detail["elements"]["C"]["doubted_in"] == ["KILN"]
    (doubt,) = [f for f in found.because if f.code == "cannot-tell" and "{specimen:KILN}" in f.what]
    assert doubt.evidence[0].token() == "{specimen:KILN}"


def test_the_table_and_the_reasons_say_the_same_of_every_suspect(found):
    table = [line.strip() for line in words.element_lines({"C": found.detail["elements"]["C"]})]
    reasons = [f.what.partition(": ")[2] for f in found.because if f.what.startswith("C: ")]
    assert reasons and set(reasons) <= set(table)
    assert table[0].endswith("C K, in {specimen:POT}")
    assert table[1] == "cannot tell in {specimen:KILN}: the bare mount {specimen:TAPE} explains it as well"
    blank = [line for line in table if line.startswith("the bare mount")]
    assert [line.split(" (")[0] for line in blank] == [
        "the bare mount {specimen:TAPE}, in {specimen:KILN}: not yet excluded",
        "the bare mount {specimen:TAPE}, in {specimen:POT}: excluded",
    ]


def test_what_is_read_off_a_specimen_of_which_nobody_can_tell_carries_that(shift, found):
    passes = flagged(shift, Recipe())
    told = with_form(
        found, reduce_edge("C K", passes, Recipe(), frozenset()), Experiment.model_validate(TAPED)
    )
    own = [each for each in told.cautions if "may not be carbon's own" in each]
    assert own == ["What is read off {specimen:KILN} here, tops and lines too, may not be carbon's own."]


def test_an_absence_is_told_with_the_largest_limit_and_its_specimen():
    quiet = scan(FE_L, 0.0 * FE_L, edge="Fe L", place=Place("A", "s1"), noise=0.002)
    loud = scan(FE_L, 0.0 * FE_L, edge="Fe L", place=Place("B", "s1"), noise=0.008, seed=2)
    iron_ = asked(quiet, loud, edge="Fe L").detail["elements"]["Fe"]
    assert (iron_["verdict"], iron_["specimen"]) == ("not-seen", "B")
    assert iron_["limit"] == iron_["specimens"]["B"]["limit"] > iron_["specimens"]["A"]["limit"]


def test_a_sentence_never_calls_every_suspect_excluded_while_one_is_not():
    told = asked(scan(FE_L, iron(FE_L), edge="Fe L")).detail["elements"]["Fe"]
    still = any(each["status"] == "not-yet" for each in told["impostors"])
    assert ("every suspect is excluded" in told["sentence"]) is not still
    doubted = {**told, "impostors": [{"status": "not-yet"}]}
    assert words.reason_sentence(doubted) == words.STANDS_ALL_THE_SAME
