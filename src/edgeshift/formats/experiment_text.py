"""The experiment text (YAML 1.2) to and from its checked record; every fault named with its line."""

from __future__ import annotations

import io
import json
from functools import lru_cache
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from edgeshift.errors import TextRefused
from edgeshift.formats.text_faults import Fault, fault_of
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.venue import Venue
from edgeshift.tables.edges import edge_named

Model = TypeVar("Model", bound=BaseModel)
MOST_CHARACTERS = 1_000_000
MOST_NODES = 100_000
"""A text a person wrote is far below both; references that unfold without end are not."""
MOST_DEPTH = 30


@lru_cache(maxsize=32)
def load(text: str, name: str) -> Experiment:
    """The experiment that a text describes.

    Raises TextRefused naming every fault with `name:line: place`, what was needed and what was found. The
    record is frozen, so the same text is read only once.
    """
    return _load(text, name, Experiment)


def load_profile(text: str, name: str) -> BeamlineProfile:
    """The beamline profile that a text describes; faults as for `load`."""
    return _load(text, name, BeamlineProfile)


def load_venue(text: str, name: str) -> Venue:
    """The rules of a venue that a text describes; faults as for `load`."""
    return _load(text, name, Venue)


def dump(experiment: Experiment | BeamlineProfile) -> str:
    """The text of a record: only what differs from the defaults, in the order of the record."""
    from ruamel.yaml import YAML

    yaml = YAML(typ="rt")
    yaml.default_flow_style = None
    yaml.width = 110
    yaml.allow_unicode = True
    stream = io.StringIO()
    yaml.dump(experiment.model_dump(mode="json", exclude_defaults=True), stream)
    return stream.getvalue()


def dump_quick(experiment: Experiment) -> str:
    """The same on one line, as JSON, which is YAML too: written and read a hundred times faster, for texts
    that no person will read."""
    return experiment.model_dump_json(exclude_defaults=True)


def _load(text: str, name: str, model: type[Model]) -> Model:
    if len(text) > MOST_CHARACTERS:
        found = f"{len(text)} characters"
        raise TextRefused(
            name, f"at most {MOST_CHARACTERS} characters", found, "Take out what is no experiment text."
        )
    quick = _of_json(text, model)
    if quick is not None:
        return quick
    tree = _parsed(text, name)
    try:
        record = model.model_validate(_Plain(name).value(tree, 0))
    except ValidationError as refusal:
        found = (fault_of(error, model, _line_of(tree, error["loc"])) for error in refusal.errors())
        faults = sorted(found, key=lambda fault: fault.line)
    else:
        faults = _unknown_edges(record, tree) if isinstance(record, Experiment) else []
        if not faults:
            return record
    raise _refused(name, faults)


def _of_json(text: str, model: type[Model]) -> Model | None:
    """A faultless text that is JSON; None for every other, whose faults are told with their lines."""
    if not text.startswith("{"):
        return None
    try:
        record = model.model_validate(json.loads(text, object_pairs_hook=_once_each))
    except (ValueError, RecursionError):
        return None
    return None if isinstance(record, Experiment) and _unknown_edges(record, {}) else record


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        raise ValueError("a field stands twice")
    return fields


def _unknown_edges(experiment: Experiment, tree: Any) -> list[Fault]:
    """Edges that bear a name like one and are in no table."""
    faults = []
    for number, plan in enumerate(experiment.edges):
        try:
            edge_named(plan.edge)
        except TextRefused as unknown:
            line = _line_of(tree, ("edges", number, "edge"))
            faults.append(Fault(line, f"edge {number + 1}", unknown.needed, unknown.found, unknown.act))
    return faults


def _refused(name: str, faults: list[Fault]) -> TextRefused:
    """One fault is the refusal itself; several stand in it with a line each."""
    if len(faults) == 1:
        one = faults[0]
        where = f"{name}:{one.line}" + (f": {one.place}" if one.place else "")
        return TextRefused(where, one.needed, one.found, one.act)
    told = "".join(f"\n  {_one_line(name, fault)}" for fault in faults)
    return TextRefused(name, "a text that holds", f"{len(faults)} faults", f"Mend them:{told}")


def _one_line(name: str, fault: Fault) -> str:
    where = f"{name}:{fault.line}" + (f": {fault.place}" if fault.place else "")
    return f"{where}: needed {fault.needed}, found {fault.found}. {fault.act}"


def _parsed(text: str, name: str) -> Any:
    from ruamel.yaml import YAML
    from ruamel.yaml.constructor import DuplicateKeyError
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    yaml = YAML(typ="rt")
    yaml.allow_duplicate_keys = False
    try:
        tree = yaml.load(text)
    except DuplicateKeyError as trouble:
        raise _refused(
            name, [Fault(_line(trouble), "", "every field once", "one that stands twice", "Keep one.")]
        ) from None
    except MarkedYAMLError as trouble:
        raise _refused(name, [_not_yaml(_line(trouble), f"something else ({trouble.problem})")]) from None
    except (YAMLError, ValueError, TypeError, AttributeError, LookupError, RecursionError, AssertionError):
        # The parser answers some damaged texts (odd tags, bad escapes) with errors of its own insides.
        raise _refused(name, [_not_yaml(1, "something else")]) from None
    if tree is None:
        return {}
    if not hasattr(tree, "lc") or not hasattr(tree, "keys"):
        raise _refused(name, [Fault(1, "", "'field: value' lines", "other text", "Begin with question: ...")])
    return tree


def _not_yaml(line: int, found: str) -> Fault:
    return Fault(line, "", "valid YAML", found, "Look at blanks, brackets and quotes there.")


def _line(trouble: Any) -> int:
    mark = trouble.problem_mark or trouble.context_mark
    return mark.line + 1 if mark else 1


class _Plain:
    """Turns the parser's own nodes into plain values, and counts them."""

    def __init__(self, name: str) -> None:
        self.name, self.nodes = name, 0

    def value(self, node: Any, depth: int) -> Any:
        """The same value in plain dicts, lists, numbers, texts; refuses a text that unfolds without end."""
        self.nodes += 1
        if self.nodes > MOST_NODES or depth > MOST_DEPTH:
            fault = Fault(1, "", "a plain text", "one that refers to itself too deeply", "Write it out.")
            raise _refused(self.name, [fault])
        if hasattr(node, "keys"):
            return {str(key): self.value(node[key], depth + 1) for key in node}
        if isinstance(node, list):
            return [self.value(item, depth + 1) for item in node]
        if isinstance(node, bool) or node is None:
            return node
        for kind in (int, float, str):
            if isinstance(node, kind):
                return kind(node)
        return str(node)


def _line_of(tree: Any, loc: tuple) -> int:
    """The line of the deepest part of a path that stands in the text; lines count from 1."""
    line, node = 0, tree
    for part in loc:
        try:
            line = node.lc.key(part)[0] if hasattr(node, "keys") else node.lc.item(part)[0]
            node = node[part]
        except (AttributeError, KeyError, IndexError, TypeError):
            break
    return line + 1
