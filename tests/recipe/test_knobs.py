"""Every knob has a default within its range, a unit and its help; what makes no sense is refused."""

from __future__ import annotations

import math

import pytest
from pydantic import ValidationError

from edgeshift.recipe.knobs import Recipe, Section

KNOBS = [
    (section, name, field)
    for section, part in Recipe.model_fields.items()
    for name, field in part.annotation.model_fields.items()
]
every_knob = pytest.mark.parametrize(
    ("section", "name", "field"), KNOBS, ids=lambda x: x if isinstance(x, str) else ""
)


@every_knob
def test_a_knob_has_a_unit_and_its_help(section, name, field):
    assert field.json_schema_extra["unit"]
    assert field.description.endswith(".")


@every_knob
def test_its_default_is_accepted_when_it_is_typed(section, name, field):
    assert Recipe.model_validate({section: {name: field.default}}) == Recipe()


@every_knob
@pytest.mark.parametrize("typed", [math.nan, math.inf, -math.inf, -1.0, [], {}])
def test_what_makes_no_sense_is_refused(section, name, field, typed):
    with pytest.raises(ValidationError, match=f"{section}.{name}"):
        Recipe.model_validate({section: {name: typed}})


@pytest.mark.parametrize("typed", [{"scal": {}}, {"scale": {"methd": "area"}}, {"scale": 3}])
def test_a_misspelt_knob_is_never_ignored(typed):
    with pytest.raises(ValidationError, match="scal|methd"):
        Recipe.model_validate(typed)


@pytest.mark.parametrize("knob", [("baseline", "below_ev"), ("scale", "above_ev")])
@pytest.mark.parametrize("stretch", [[1560.0, 1550.0], [1550.0, 1550.0]])
def test_a_stretch_has_its_low_end_first(knob, stretch):
    section, name = knob
    with pytest.raises(ValidationError, match="a stretch needs its low end first"):
        Recipe.model_validate({section: {name: stretch}})


def test_a_recipe_cannot_be_changed_and_is_a_key():
    recipe = Recipe()
    with pytest.raises(ValidationError, match="frozen"):
        recipe.scale.method = "area"
    assert len({recipe, Recipe(), Recipe.model_validate({"scale": {"method": "area"}})}) == 2


def test_every_section_of_the_texts_refuses_unknown_names_and_what_is_no_number():
    def below(kind):
        return {kind, *(sub for each in kind.__subclasses__() for sub in below(each))}

    for kind in below(Section):
        config = kind.model_config
        assert (config["extra"], config["frozen"], config["allow_inf_nan"]) == ("forbid", True, False), kind
