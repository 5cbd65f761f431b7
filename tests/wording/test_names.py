"""One map from keys to names, applied last."""

from __future__ import annotations

import pytest

from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Ref
from edgeshift.wording.names import TOKEN, Naming, named, open_naming

ARMS = {"arms": [{"name": "raw", "words": "raw clay", "control": True}, {"name": "fired"}]}
HIDDEN = Naming({("arm", "raw"): "P", ("unit", "raw A"): "P-A", ("scan", "scan-017"): "scan 17"})


def test_a_token_becomes_its_name_and_a_key_without_a_name_stays():
    assert HIDDEN("{unit:raw A} of {arm:raw}, not {arm:fired}") == "P-A of P, not fired"


def test_the_same_key_of_another_kind_is_another_thing():
    assert HIDDEN("{specimen:raw} and {arm:raw}") == "raw and P"


@pytest.mark.parametrize("kind", ["arm", "unit", "specimen", "spot", "scan", "edge"])
def test_every_reference_is_a_token_that_the_map_understands(kind):
    token = Ref(kind, "a b-1").token()
    assert TOKEN.fullmatch(token)
    assert Naming({(kind, "a b-1"): "name"})(token) == "name"


@pytest.mark.parametrize("text", ["{}", "{arm}", "{colour:red}", "a {b} c", "{arm:{unit:x}}"])
def test_other_braces_stay_as_they_are(text):
    assert Naming({("unit", "x"): "x"})(text) == text.replace("{unit:x}", "x")


def test_a_name_that_looks_like_a_token_is_not_named_again():
    assert Naming({("arm", "raw"): "{arm:fired}", ("arm", "fired"): "Q"})("{arm:raw}") == "{arm:fired}"


def test_with_the_curtain_open_arms_are_called_as_the_group_says():
    naming = open_naming(Experiment.model_validate(ARMS))
    assert naming("{arm:raw}/{arm:fired}/{unit:A}") == "raw clay/fired/A"


def test_names_reach_every_text_of_a_nested_thing_and_no_number():
    thing = {"{arm:raw}": ["{arm:raw}", 1, None, {"deep": ("{unit:raw A}", True)}], "numbers": (1.5, None, 2)}
    assert named(thing, HIDDEN) == {"P": ["P", 1, None, {"deep": ["P-A", True]}], "numbers": [1.5, None, 2]}
    assert thing["{arm:raw}"][0] == "{arm:raw}"
