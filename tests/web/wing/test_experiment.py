"""The experiment text as forms: what a form sends is what the text takes."""

from __future__ import annotations

import json
import re

import pytest

from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe
from edgeshift.web.wing.experiment import knob_of, knobs
from edgeshift.wording.knobs import KNOBS

PAGE = "/wing/experiment"


def test_every_knob_of_the_recipe_is_told_at_three_depths(host):
    page = host.look(PAGE)
    for knob in knobs(Recipe(), ("recipe",)):
        assert knob.say in page and knob.depths.why in page and knob.depths.maths in page
        assert knob.say and knob.depths.why and knob.depths.maths, knob.path


def test_no_explanation_stands_for_a_knob_that_is_not_there():
    there = {".".join(map(str, k.path)) for k in knobs(Experiment(), ())} | {
        "edges.role",
        "edges.matters",
        "edges.feature",
    }
    assert set(KNOBS) <= there


def test_every_field_has_a_label_and_no_two_share_a_name(host):
    page = host.look(PAGE)
    ids = re.findall(r' id="([^"]+)"', re.sub(r"<svg.*?</svg>", "", page, flags=re.DOTALL))
    assert len(ids) == len(set(ids))
    named = set(re.findall(r'<label[^>]* for="([^"]+)"', page))
    for field in re.findall(r"<(?:input|select|textarea)[^>]*>", page):
        assert 'type="hidden"' in field or re.search(r'id="([^"]+)"', field)[1] in named, field


@pytest.mark.parametrize(
    ("path", "makes", "typed"),
    [
        (("recipe", "flag", "spike_sigmas"), "number", "6"),
        (("recipe", "baseline", "below_ev"), "stretch", ""),
        (("recipe", "scale", "method"), "text", "step"),
        (("plan", "units_per_arm"), "number", ""),
    ],
)
def test_a_knob_knows_how_it_is_typed(path, makes, typed):
    part = Experiment()
    for step in path[:-1]:
        part = getattr(part, step)
    knob = knob_of(part, path)
    assert (knob.makes, knob.typed, json.loads(knob.where)) == (makes, typed, list(path))


def test_an_edit_changes_the_text_is_told_in_words_and_can_be_undone(host):
    seen = host.room.known().state.experiment_number
    path = ["recipe", "flag", "spike_sigmas"]
    number = host.act("edit", path=path, value=5, seen=seen, reason="a blip slipped through")["number"]
    history = host.part("edits", PAGE)
    assert "Flag, spike sigmas: 6 became 5 standard deviations." in history
    assert "a blip slipped through" in history
    host.act("undo-edit", number=number, reason="it was none")
    assert host.room.known().experiment.recipe.flag.spike_sigmas == 6.0


def test_a_part_that_the_text_does_not_have_yet_has_its_form(host):
    assert "\nmatter:" not in host.room.known().state.experiment_text
    for part in ("day", "limits", "lock", "matter"):
        assert f"<h2>{part.capitalize()}</h2>" in host.part("numbers", PAGE)
    assert all(f"knob-{one}" in host.look(PAGE) for one in ("day-ends", "lock-volume_l"))
    host.act("edit", path=["day", "ends"], value="2026-03-14T20:00:00+01:00", reason="the host said so")
    host.act("edit", path=["matter"], value={"formula": "Al2Si2O5(OH)4"}, reason="it is clay")
    assert host.room.known().experiment.day.ends == "2026-03-14T20:00:00+01:00"
    page = host.look(PAGE)
    assert "knob-matter-density" in page and "more-matter" not in page


def test_an_edit_of_a_text_that_is_not_the_newest_is_refused_in_words(host):
    seen = host.room.known().state.experiment_number
    host.act("edit", path=["plan", "units_per_arm"], value=4, seen=seen, reason="one more dig")
    said = {"path": ["plan", "units_per_arm"], "value": 5, "seen": seen, "reason": "and another"}
    reply = host.page.post("/api/edit", json=said, headers={"origin": "http://127.0.0.1:8620"})
    assert reply.status_code == 422 and "Look at the new text" in reply.json()["refused"]


def test_while_the_curtain_is_drawn_the_page_says_why_it_waits_and_names_nobody(host):
    host.act("curtain", drawn=True)
    page = host.look(PAGE)
    assert "The text waits behind the curtain" in page and "/api/edit" not in page
    assert not [s for s in host.world.secrets if re.search(rf"(?<!\w){re.escape(s)}(?!\w)", page)]
