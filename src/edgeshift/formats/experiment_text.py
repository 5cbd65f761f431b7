"""The experiment text (YAML 1.2) to and from its checked record; every fault named with its line."""

from __future__ import annotations

import difflib
import io
from functools import lru_cache
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from edgeshift.errors import TextRefused
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment

Model = TypeVar("Model", bound=BaseModel)
MOST_CHARACTERS = 1_000_000
MOST_NODES = 100_000
"""A text a person wrote is far below both; references that unfold without end are not."""
MOST_DEPTH = 30


@lru_cache(maxsize=32)
def load(text: str, name: str) -> Experiment:
    """The experiment that a text describes.

    Raises TextRefused naming every fault as `name:line: field: what is wrong`. The record is frozen, so
    the same text is read only once.
    """
    return _load(text, name, Experiment)


def load_profile(text: str, name: str) -> BeamlineProfile:
    """The beamline profile that a text describes; faults as for `load`."""
    return _load(text, name, BeamlineProfile)


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


def _load(text: str, name: str, model: type[Model]) -> Model:
    if len(text) > MOST_CHARACTERS:
        found = f"{len(text)} characters"
        raise TextRefused(
            name, f"at most {MOST_CHARACTERS} characters", found, "Take out what is no experiment text."
        )
    tree = _parsed(text, name)
    try:
        return model.model_validate(_Plain(name).value(tree, 0))
    except ValidationError as refusal:
        found = [(_line_of(tree, error["loc"]), error) for error in refusal.errors()]
        faults = [_fault(name, line, error, model) for line, error in sorted(found, key=lambda pair: pair[0])]
    raise _refused(name, faults)


def _refused(name: str, faults: list[str]) -> TextRefused:
    count = "1 fault" if len(faults) == 1 else f"{len(faults)} faults"
    return TextRefused(name, "a text that holds", f"{count}: {'; '.join(faults)}", "Mend and load it again.")


def _parsed(text: str, name: str) -> Any:
    from ruamel.yaml import YAML
    from ruamel.yaml.constructor import DuplicateKeyError
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    yaml = YAML(typ="rt")
    yaml.allow_duplicate_keys = False
    try:
        tree = yaml.load(text)
    except DuplicateKeyError as trouble:
        raise _refused(name, [f"{name}:{_line(trouble)}: a name stands twice"]) from None
    except MarkedYAMLError as trouble:
        raise _refused(name, [f"{name}:{_line(trouble)}: not valid YAML ({trouble.problem})"]) from None
    except (YAMLError, ValueError, TypeError, AttributeError, LookupError, RecursionError, AssertionError):
        # The parser answers some damaged texts (odd tags, bad escapes) with errors of its own insides.
        raise _refused(name, [f"{name}:1: not valid YAML"]) from None
    if tree is None:
        return {}
    if not hasattr(tree, "lc") or not hasattr(tree, "keys"):
        raise _refused(name, [f"{name}:1: needed 'field: value' lines"])
    return tree


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
            raise _refused(self.name, [f"{self.name}:1: the text refers to itself too deeply"])
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


def _fault(name: str, line: int, error: Any, model: type[BaseModel]) -> str:
    """One fault in one line: where it stands, which field, what is wrong."""
    place = ".".join(str(part) for part in error["loc"]) or "the whole text"
    return f"{name}:{line}: {place}: {_words(error, model)}"


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


def _words(error: Any, model: type[BaseModel]) -> str:
    if error["type"] == "extra_forbidden":
        near = difflib.get_close_matches(str(error["loc"][-1]), _fields_at(model, error["loc"][:-1]), n=1)
        return "is not a known field" + (f"; did you mean '{near[0]}'?" if near else "")
    if error["type"] == "missing":
        return "is required but missing"
    message = error["msg"].removeprefix("Value error, ")
    shown = str(error.get("input"))
    plain = isinstance(error.get("input"), str | int | float) and len(shown) < 40
    return f"{message[0].lower()}{message[1:]}" + (f" (found '{shown}')" if plain else "")


def _fields_at(model: type[BaseModel], loc: tuple) -> list[str]:
    """The names of the fields that a path of names and numbers leads to."""
    for part in loc:
        if isinstance(part, str) and part in model.model_fields:
            inner = _model_in(model.model_fields[part].annotation)
            if inner is None:
                return []
            model = inner
    return list(model.model_fields)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The record inside an annotation such as `tuple[Arm, ...]` or `EnergyColumn | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in getattr(annotation, "__args__", ()) if (found := _model_in(part))), None)
