"""The experiment text as a record: names meet, the control is known, edges may have their own knobs."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from edgeshift.recipe.experiment import Experiment, Feature
from edgeshift.recipe.knobs import Recipe

ARMS = [{"name": "raw"}, {"name": "fired", "control": True}]
UNITS = [{"name": "A", "arm": "raw", "pair": "1"}, {"name": "B", "arm": "fired", "pair": "1"}]
HEIGHT = {"kind": "height", "windows": [[1567, 1569]]}


def experiment(**text) -> Experiment:
    return Experiment.model_validate(text)


def test_the_control_is_the_arm_that_says_so_else_the_first():
    assert experiment(arms=ARMS).control.name == "fired"
    assert experiment(arms=[{"name": "raw"}, {"name": "fired"}]).control.name == "raw"
    assert experiment().control is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ({"arms": ARMS, "units": [{"name": "A", "arm": "rare"}]}, "unit 'A' names the arm 'rare'"),
        (
            {"specimens": [{"name": "a", "unit": "Z"}]},
            "specimen 'a' names the unit 'Z', which is not defined",
        ),
        (
            {"arms": [{"name": "a", "control": True}, {"name": "b", "control": True}]},
            "only one arm can be the",
        ),
        ({"arms": [{"name": "a"}, {"name": "a"}]}, "the name 'a' stands twice"),
        ({"specimens": [{"name": "a"}, {"name": "a"}]}, "the name 'a' stands twice"),
        ({"edges": [{"edge": "Al K"}, {"edge": "Al K"}]}, "the edge 'Al K' stands twice"),
        ({"edges": [{"edge": "aluminium"}]}, "String should match pattern"),
        ({"arms": [{"name": "a{b}"}]}, "String should match pattern"),
        ({"arms": [{"name": "a", "words": "{arm:b}"}]}, "String should match pattern"),
        ({"edges": [{"edge": "Al K", "matters": -0.1}]}, "greater than 0"),
        ({"edges": [{"edge": "Al K", "matters": float("inf")}]}, "finite number"),
        ({"plan": {"units_per_arm": 0}}, "greater than or equal to 1"),
        ({"question": "why", "answer": 42}, "Extra inputs are not permitted"),
    ],
)
def test_a_text_that_does_not_hold_together_is_refused(text, words):
    with pytest.raises(ValidationError, match=words):
        experiment(**text)


def test_a_pair_holds_one_unit_of_each_arm():
    smoked = [*ARMS, {"name": "smoked"}]
    third = {"name": "C", "arm": "smoked", "pair": "1"}
    assert len(experiment(arms=smoked, units=[*UNITS, third]).units) == 3
    with pytest.raises(ValidationError, match="units 'A' and 'C' of the arm 'raw' share the pair '1'"):
        experiment(arms=ARMS, units=[*UNITS, {**third, "arm": "raw"}])


@pytest.mark.parametrize(
    ("feature", "words"),
    [
        ({**HEIGHT, "kind": "ratio"}, "a ratio needs two windows"),
        ({**HEIGHT, "windows": [[1, 2], [3, 4]]}, "a height needs one window"),
        ({**HEIGHT, "windows": [[2, 1]]}, "a window needs its low end first, found 2.0 to 1.0"),
        ({**HEIGHT, "windows": []}, "at least 1 item"),
        ({**HEIGHT, "windows": [[1, float("nan")]]}, "finite number"),
        ({**HEIGHT, "kind": "depth"}, "Input should be 'ratio', 'height', "),
        ({**HEIGHT, "words": "the {line}"}, "String should match pattern"),
    ],
)
def test_a_feature_that_cannot_be_read_is_refused(feature, words):
    with pytest.raises(ValidationError, match=words):
        Feature.model_validate(feature)


def test_an_edge_lays_its_own_knobs_over_the_recipe():
    recipe = {"scale": {"method": "area", "least_step_sigmas": 7}, "compare": {"level": 0.01}}
    made = experiment(recipe=recipe, edges=[{"edge": "Al K", "recipe": {"scale": {"method": "none"}}}])
    own = made.recipe_for("Al K")
    assert (own.scale.method, own.scale.least_step_sigmas, own.compare.level) == ("none", 7, 0.01)
    assert made.recipe_for("Fe L") == made.recipe_for(None) == Recipe.model_validate(recipe)


@pytest.mark.parametrize(
    ("knobs", "words"),
    [
        ({"scale": {"methd": "area"}}, "scale.methd: is not a known knob"),
        ({"scal": {}}, "scal: is not a known knob"),
        ({"scale": {"method": "hight"}}, "scale.method: Input should be 'step', 'area' or 'none'"),
        ({"scale": 3}, "scale: Input should be a valid dictionary"),
        ({"flag": {"spike_sigmas": 1}}, "flag.spike_sigmas: Input should be greater than or equal to 3"),
    ],
)
def test_an_edges_own_knob_is_checked_when_the_text_is_and_not_when_it_is_asked(knobs, words):
    with pytest.raises(ValidationError, match=words):
        experiment(edges=[{"edge": "Al K", "recipe": knobs}])


def test_what_was_planned_for_an_edge_is_found_by_its_name():
    made = experiment(edges=[{"edge": "Al K", "feature": HEIGHT, "role": "control"}])
    assert made.edge_plan("Al K").role == "control"
    assert made.edge_plan("Fe L") is None


def test_an_edge_lays_what_it_says_over_the_plan_and_leaves_the_rest():
    edges = [{"edge": "Al K", "plan": {"spots_per_unit": 2}}, {"edge": "Fe L"}]
    found = experiment(edges=edges, plan={"units_per_arm": 4, "scans_per_spot": 3})
    assert found.plan_for("Al K").model_dump() == {
        "units_per_arm": 4, "spots_per_unit": 2, "scans_per_spot": 3,
    }  # fmt: skip
    assert found.plan_for("Fe L") == found.plan_for("K L") == found.plan


def test_a_batch_is_shared_by_units_of_one_arm_only():
    """What was treated together was treated alike: a control and a treated unit cannot share a batch."""
    fired = [{"name": n, "arm": "fired", "batch": "first fire"} for n in "BC"]
    assert [u.batch for u in experiment(arms=ARMS, units=fired).units] == ["first fire"] * 2
    raw = {"name": "A", "arm": "raw", "batch": "first fire"}
    with pytest.raises(ValidationError, match="share the batch 'first fire' and lie in two arms"):
        experiment(arms=ARMS, units=[*fired, raw])
