"""Designs with planted faults: all are found, and none is invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from ruamel.yaml import YAML

from edgeshift.actions.interview import Designed, designed, walk
from edgeshift.formats.experiment_text import load
from edgeshift.planning.spare_keys import spare_keys

FOLDER = Path(__file__).resolve().parents[1] / "designs"
WRITTEN = {
    f"{path.stem}: {each['name']}": each
    for path in sorted(FOLDER.glob("*.yaml"))
    for each in YAML(typ="safe", pure=True).load(path.read_text(encoding="utf-8"))
}


def judged(answers) -> Designed:
    """The design of these answers, as a file would hold them: what is not said is blank."""
    typed = {key: str(said) for key, said in answers.items()}
    asked = dict(typed)
    step = walk(asked)
    while step.question is not None:
        asked[step.question.key] = typed.get(step.question.key, "")
        step = walk(asked)
    asked_keys = [question.key for question, _ in step.asked]
    _, unknown = spare_keys(typed, asked_keys, step.design)
    assert not unknown, f"answers to questions that are never asked: {unknown}"
    return designed(step)


@pytest.mark.parametrize("name", WRITTEN)
def test_every_planted_fault_is_found_and_none_is_invented(name):
    answer = judged(WRITTEN[name]["answers"]).answer
    assert {fault["code"] for fault in answer.detail["faults"]} == set(WRITTEN[name]["faults"])
    assert (answer.verdict == "holds") == (not WRITTEN[name]["faults"])


@pytest.mark.parametrize("name", WRITTEN)
def test_the_text_of_every_design_is_an_experiment_that_counts_as_the_design_does(name):
    made = judged(WRITTEN[name]["answers"])
    experiment = load(made.text, name)
    for arm, units in made.answer.detail["units"].items():
        own = [unit for unit in experiment.units if unit.arm == arm]
        assert len(own) == units["listed"]
        assert len({unit.batch or unit.name for unit in own}) == units["counted"]


def test_forty_designs_were_written_and_every_fault_was_planted_somewhere():
    from edgeshift.wording.design import FAULTS

    assert len(WRITTEN) >= 40
    assert {code for each in WRITTEN.values() for code in each["faults"]} <= set(FAULTS)
