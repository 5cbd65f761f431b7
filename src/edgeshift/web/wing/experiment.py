"""The experiment text as forms: one for each knob, explained at three depths; every edit has its undo."""

from __future__ import annotations

import json
import types
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from starlette.responses import Response

from edgeshift.actions.edit import what_changed
from edgeshift.actions.staging import staged
from edgeshift.recipe.beamline import ChannelColumns
from edgeshift.recipe.experiment import Arm, EdgePlan, Feature, Matter, Specimen, Unit
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.shift_state import ShiftState
from edgeshift.web.door import Call, Door
from edgeshift.web.fragments import strip
from edgeshift.web.pages import page, say_of
from edgeshift.web.wing.view import STRIP, WIDTH, Clock, clock_of
from edgeshift.wording.changes import UNITS
from edgeshift.wording.knobs import KNOBS, Depths
from edgeshift.wording.numbers import plain

NO_UNITS = ("choice", "name", "power")
MOST_HISTORY = 30
PARTS = ("day", "plan", "limits", "lock", "matter", "recipe", "beamline")
NEW_PARTS = {"matter": Matter}
"""Parts that a text need not have: one form for the whole until it has them."""
EDGE_FIELDS = ("role", "matters")
SECTIONS = frozenset((*Recipe.model_fields, "energy", "place", "overheads"))
"""Parts of a path that a label says, for the name of the field alone would tell too little."""


@dataclass(frozen=True)
class Knob:
    """One value: where it stands, what is typed, and what it is at three depths.

    `makes` says how what is typed becomes a value; `choices` are (value, words) where it is chosen.
    """

    path: tuple[str | int, ...]
    label: str
    unit: str
    typed: str
    shown: str
    makes: str
    say: str
    depths: Depths
    choices: tuple[tuple[str, str], ...] = ()

    @property
    def id(self) -> str:
        """A name that no other knob of the page has."""
        return "-".join("".join(c if c.isalnum() else "_" for c in str(part)) for part in self.path)

    @property
    def where(self) -> str:
        """The path, as the act takes it."""
        return json.dumps(self.path)


@dataclass(frozen=True)
class Thing:
    """A named thing of a list: an arm, a unit, a specimen, a detector; edited as one."""

    path: tuple[str | int, ...]
    name: str
    fields: tuple[Knob, ...]

    @property
    def id(self) -> str:
        """A name that no other thing of the page has."""
        return "-".join("".join(c if c.isalnum() else "_" for c in str(part)) for part in self.path)

    @property
    def where(self) -> str:
        """The path, as the act takes it."""
        return json.dumps(self.path)


def experiment(call: Call) -> Response:
    """Every part of the text as forms; while the curtain is drawn, why it waits."""
    room = call.house.room
    now, state = staged(room, say=say_of(call)), room.known().state
    common = {"shown": now, "strip": strip(call, now, WIDTH, STRIP, "/wing/look")}
    if state.curtain is not None:
        return page(call, "wing/experiment.html", waits=True, **common)
    told = clock_of(room.known())
    text = room.known().experiment
    return page(
        call,
        "wing/experiment.html",
        waits=False,
        complaint=room.complaint_seen,
        seen=state.experiment_number,
        question=knob_of(text, ("question",)),
        lists=[_list(name, model, getattr(text, name), (name,)) for name, model in LISTS],
        edges=[_edge(plan, place) for place, plan in enumerate(text.edges)],
        new_edge=_thing(EdgePlan, None, ("edges", "+"), ("edge", "role")),
        own_knobs=[(json.dumps(k.path[1:]), k.label) for k in knobs(Recipe(), ("recipe",))],
        sections=[_section(name, getattr(text, name)) for name in PARTS],
        channels=_list("channels", ChannelColumns, text.beamline.channels, ("beamline", "channels")),
        history=_history(state, now.naming, told),
        whole=state.experiment_text,
        **common,
    )  # fmt: skip


LISTS: tuple[tuple[str, type[BaseModel]], ...] = (("arms", Arm), ("units", Unit), ("specimens", Specimen))


def _list(name: str, model: type[BaseModel], things: Sequence[BaseModel], path: tuple) -> dict[str, Any]:
    shown = [_thing(model, one, (*path, getattr(one, "name", place))) for place, one in enumerate(things)]
    return {"name": name, "things": shown, "more": _thing(model, None, (*path, "+"))}


def _thing(
    model: type[BaseModel], one: BaseModel | None, path: tuple, only: Sequence[str] | None = None
) -> Thing:
    fields = tuple(knob_of(one or model, (*path, name)) for name in only or model.model_fields)
    return Thing(path, getattr(one, "name", None) or getattr(one, "role", ""), fields)


def _section(name: str, part: BaseModel | None) -> dict[str, Any]:
    """The knobs of a part, or the form that begins one which the text does not have yet."""
    if part is not None:
        return {"name": name, "knobs": list(knobs(part, (name,))), "begin": None}
    model = NEW_PARTS[name]
    typed = [each for each, field in model.model_fields.items() if _makes(field.annotation)]
    return {"name": name, "knobs": [], "begin": _thing(model, None, (name,), typed)}


def _edge(plan: EdgePlan, place: int) -> dict[str, Any]:
    path = ("edges", plan.edge)
    feature = _thing(Feature, plan.feature, (*path, "feature"))
    return {
        "name": plan.edge,
        "path": json.dumps(path),
        "id": f"edge-{place}",
        "knobs": [
            *(knob_of(plan, (*path, name)) for name in EDGE_FIELDS),
            *knobs(plan.plan, (*path, "plan")),
            *_own_knobs(plan, path),
        ],
        "feature": feature,
        "depths": KNOBS["edges.feature"],
        "base": json.dumps((*path, "recipe")),
    }


def _own_knobs(plan: EdgePlan, path: tuple) -> Iterator[Knob]:
    """The knobs that this edge has for itself."""
    own = Recipe.model_validate(plan.recipe)
    for section, typed in plan.recipe.items():
        for name in typed:
            yield knob_of(getattr(own, section), (*path, "recipe", section, name))


def knobs(part: BaseModel, path: tuple) -> Iterator[Knob]:
    """Every value below a record, depth first; lists of things have forms of their own."""
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if isinstance(value, BaseModel):
            yield from knobs(value, (*path, name))
        elif name == "energy" or _makes(field.annotation) != "":
            yield knob_of(part, (*path, name))


def knob_of(part: BaseModel | type[BaseModel], path: tuple) -> Knob:
    """The knob at the end of a path, of a record that holds it or of the model of one that is to come."""
    model, name = part if isinstance(part, type) else type(part), path[-1]
    field = model.model_fields[name]
    value = None if isinstance(part, type) else getattr(part, name)
    extra = field.json_schema_extra if isinstance(field.json_schema_extra, dict) else {}
    unit = extra.get("unit", "" if name.endswith("_per_s") else UNITS.get(name.rpartition("_")[2], ""))
    makes = _makes(field.annotation) or "plain"
    plain_words = [str(part).replace("_", " ") for part in path[:-1] if part in SECTIONS]
    label = ", ".join([*plain_words, _label(name)])
    return Knob(
        path,
        label,
        "" if unit in NO_UNITS else unit,
        _typed(value),
        _typed(value),
        makes,
        field.description or "",
        KNOBS.get(_bare(path), Depths()),
        _choices(field.annotation),
    )


def _label(name: str) -> str:
    """A field in words, without the unit that stands behind its value."""
    start, _, end = name.rpartition("_")
    return (start if end in UNITS and not start.endswith("_per") else name).replace("_", " ")


def _bare(path: tuple) -> str:
    """The path without names: what a knob is, wherever it stands."""
    if path[0] != "edges":
        return ".".join(map(str, path))
    return ".".join(map(str, path[2:] if path[2] in ("plan", "recipe") else (path[0], *path[2:])))


def _kinds(annotation: Any) -> tuple[Any, ...]:
    """What a value may be, apart from nothing."""
    if get_origin(annotation) in (Union, types.UnionType):
        return tuple(each for each in get_args(annotation) if each is not type(None))
    return (annotation,)


def _makes(annotation: Any) -> str:
    """How what is typed becomes a value; empty where there is a form of its own, or none."""
    kind = _kinds(annotation)[0]
    if get_origin(kind) is Literal:
        return "text" if isinstance(get_args(kind)[0], str) else "plain"
    kind = getattr(kind, "__origin__", kind) if hasattr(kind, "__metadata__") else kind
    if kind in (float, int):
        return "number"
    if kind in (str, bool):
        return {str: "text", bool: "flag"}[kind]
    if get_origin(kind) is tuple:
        first = get_args(kind)[0]
        if first is str:
            return "list"
        if first is float:
            return "stretch"
        return "windows" if get_origin(first) is tuple else ""
    return ""


def _choices(annotation: Any) -> tuple[tuple[str, str], ...]:
    kind = _kinds(annotation)[0]
    if kind is bool:
        return (("true", "yes"), ("false", "no"))
    if get_origin(kind) is Literal:
        return tuple((str(each), str(each)) for each in get_args(kind))
    return ()


def _typed(value: Any) -> str:
    """A value as somebody would type it."""
    if value is None or value == ():
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return plain(value)
    if isinstance(value, BaseModel):
        return json.dumps(value.model_dump(mode="json", exclude_none=True))
    if isinstance(value, tuple):
        if isinstance(value[0], tuple):
            return ", ".join(map(_typed, value))
        return ("-" if isinstance(value[0], float) else ", ").join(map(_typed, value))
    return str(value)


def _history(state: ShiftState, naming, told: Clock) -> list[dict[str, Any]]:
    """The last edits, newest first, each as its difference in words."""
    texts = [event for event in state.events if event.kind == "experiment"]
    return [
        {
            "number": event.number,
            "time": told(event.time),
            "reason": event.reason,
            "role": event.role,
            "changes": [naming(change) for change in what_changed(state, event.number)],
            "first": event is texts[0],
        }
        for event in reversed(texts[-MOST_HISTORY:])
    ]


DOORS = (Door("GET", "/wing/experiment", "host", experiment, "The experiment text.", kind="page"),)

__all__ = ["DOORS", "knob_of", "knobs"]
