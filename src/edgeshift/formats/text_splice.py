"""One value of a YAML text changed in its place: every remark, blank and line around it stays as typed."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

from edgeshift.errors import TextRefused

ONE_MORE = "+"
"""As the last part of a path: one more entry at the end of a list."""
NAMED_BY = ("name", "edge")
"""Fields by which an entry of a list may be named in a path."""
PLAIN_WORD = re.compile(r"[A-Za-z][\w-]*( [A-Za-z][\w-]*)*")
NO_WORDS = frozenset(("true", "false", "null", "yes", "no", "on", "off", "y", "n"))

Path = tuple[str | int, ...]


def with_value(text: str, path: Sequence[str | int], value: Any, name: str) -> str:
    """The text, an accepted one, with `value` (plain data) at `path`; None takes out what stands there.

    A path goes by fields and, in lists, by the number of an entry (from 0), by its name or its edge, or by
    "+" for one more. What is missing on the way is added. Raises TextRefused, under the `name` of the text,
    where the path leads nowhere, or where the text is laid out so that only a person can change it.
    """
    old = _parsed(text, name) or {}
    steps, value = _steps(old, tuple(path), name), _plain(value, name, path)
    try:
        wanted = _changed(old, steps, value)
    except LookupError:
        act = "There is nothing to take out."
        raise TextRefused(_place(name, path), "something that stands there", "nothing", act) from None
    try:
        new = _taken_out(text, steps) if value is None else _put(text, steps, value)
        reads_as_wanted = _parsed(new, name) == wanted
    except (TextRefused, LookupError, AttributeError, TypeError):
        reads_as_wanted = False
    if not reads_as_wanted:
        needed = "one plain place for this value"
        raise TextRefused(_place(name, path), needed, "another layout", "Change it in the text itself.")
    return new


def _parsed(text: str, name: str) -> Any:
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        return YAML(typ="safe", pure=True).load(text)
    except (YAMLError, ValueError):
        raise TextRefused(name, "valid YAML", "something else", "Mend the text first.") from None


def _plain(value: Any, name: str, path: Sequence[str | int]) -> Any:
    try:
        return json.loads(json.dumps(value, allow_nan=False))
    except (TypeError, ValueError):
        needed, act = "words, numbers, or lists of them", "Type it anew."
        raise TextRefused(_place(name, path), needed, "something else", act) from None


def _place(name: str, path: Sequence[str | int]) -> str:
    return f"{name}: {', '.join(str(part)[:40] for part in path)}"


def _steps(tree: Any, path: Path, name: str) -> Path:
    """The path with every named entry of a list as its number."""
    steps: list[str | int] = []
    there = tree
    for depth, part in enumerate(path):
        if isinstance(there, list):
            step = _entry(there, part)
            last = depth == len(path) - 1
            if step is None or (step == len(there) and not last):
                raise TextRefused(
                    _place(name, path), "an entry that is there", "none", "Name one, or add it."
                )
        elif isinstance(part, str) and (there is None or isinstance(there, dict)):
            step = part
        else:
            raise TextRefused(_place(name, path), "a field that can be set", "none", "Name another.")
        steps.append(step)
        inside = isinstance(there, dict) or (isinstance(there, list) and step < len(there))
        there = (there.get(step) if isinstance(there, dict) else there[step]) if inside else None
    if not steps:
        raise TextRefused(name, "the place of a value", "none", "Name it.")
    return tuple(steps)


def _entry(entries: list, part: str | int) -> int | None:
    if part == ONE_MORE:
        return len(entries)
    if isinstance(part, int):
        return part if 0 <= part < len(entries) else None
    named = (n for n, e in enumerate(entries) if isinstance(e, dict) and part in map(e.get, NAMED_BY))
    return next(named, None)


def _changed(tree: Any, steps: Path, value: Any) -> Any:
    """The same change on the plain data, which the changed text has to agree with."""
    whole = _apart(tree)
    above, there = [], whole
    for step in steps[:-1]:
        if isinstance(there, dict) and there.get(step) is None:
            there[step] = {}
        above.append((there, step))
        there = there[step]
    last = steps[-1]
    if value is not None:
        if isinstance(there, list) and last == len(there):
            there.append(None)
        there[last] = value
        return whole
    del there[last]
    while above and not there and isinstance(above[-1][0], dict):
        there, step = above.pop()
        del there[step]
    return whole


def _apart(tree: Any) -> Any:
    """A copy in which no two places share one value, as they may in the text."""
    if isinstance(tree, dict):
        return {key: _apart(value) for key, value in tree.items()}
    return [_apart(value) for value in tree] if isinstance(tree, list) else tree


def _composed(text: str) -> Any:
    from ruamel.yaml import YAML

    return YAML(typ="safe", pure=True).compose(text)


def _put(text: str, steps: Path, value: Any) -> str:
    node = _composed(text)
    if node is None:
        return f"{text.rstrip()}\n{_line(steps[0], _nested(steps[1:], value))}\n".lstrip()
    for depth, step in enumerate(steps):
        rest = _nested(steps[depth + 1 :], value)
        found = _child(node, step)
        if found is None:
            return _added(text, node, step, rest)
        if not text[found.start_mark.index : found.end_mark.index]:
            return _filled(text, node, step, rest)
        if depth == len(steps) - 1 or found.tag.endswith(":null"):
            return _replaced(text, found, rest)
        node = found
    raise LookupError


def _nested(steps: Path, value: Any) -> Any:
    for step in reversed(steps):
        value = {step: value}
    return value


def _child(node: Any, step: str | int) -> Any:
    if isinstance(step, int):
        return node.value[step] if step < len(node.value) else None
    return next((value for key, value in node.value if key.value == step), None)


def _replaced(text: str, node: Any, value: Any) -> str:
    return f"{text[: node.start_mark.index]}{_flow(value)}{text[_end(text, node) :]}"


def _filled(text: str, node: Any, step: str | int, value: Any) -> str:
    """With a value for a field that has none; its mark may lie behind remarks."""
    key = next(key for key, _ in node.value if key.value == step)
    spot = text.index(":", key.end_mark.index) + 1
    return f"{text[:spot]} {_flow(value)}{text[spot:]}"


def _added(text: str, node: Any, step: str | int, value: Any) -> str:
    entry = _flow(value) if isinstance(step, int) else _line(step, value)
    if node.flow_style:
        spot = _end(text, node.value[-1]) if node.value else node.start_mark.index + 1
        return f"{text[:spot]}{', ' if node.value else ''}{entry}{text[spot:]}"
    spot = _line_end(text, _end(text, node.value[-1]))
    # The mark of a list stands at its first dash, that of its fields at the first of them.
    dash = "- " if isinstance(step, int) else ""
    return f"{text[:spot]}\n{' ' * node.start_mark.column}{dash}{entry}{text[spot:]}"


def _taken_out(text: str, steps: Path) -> str:
    """Without the entry; a field that it leaves empty goes with it."""
    chain = [_composed(text)]
    for step in steps[:-1]:
        chain.append(_child(chain[-1], step))
    depth = len(steps) - 1
    while depth and len(chain[depth].value) == 1 and not isinstance(steps[depth - 1], int):
        depth -= 1
    node, step = chain[depth], steps[depth]
    number = step if isinstance(step, int) else [key.value for key, _ in node.value].index(step)
    begins = [_start(entry) for entry in node.value]
    end = _end(text, node.value[number])
    if node.flow_style:
        return _cut_from_flow(text, node, number, begins, end)
    line = text.rfind("\n", 0, begins[number]) + 1
    if text[line : begins[number]].strip(" -") or (
        isinstance(step, str) and "-" in text[line : begins[number]]
    ):
        return text[: begins[number]] + text[begins[number + 1] :]
    return text[:line] + text[_line_end(text, end) + 1 :]


def _cut_from_flow(text: str, node: Any, number: int, begins: list[int], end: int) -> str:
    if number + 1 < len(begins):
        return text[: begins[number]] + text[begins[number + 1] :]
    start = _end(text, node.value[number - 1]) if number else begins[number]
    return text[:start] + text[end:]


def _start(entry: Any) -> int:
    return (entry[0] if isinstance(entry, tuple) else entry).start_mark.index


def _end(text: str, entry: Any) -> int:
    """Where the last letter of an entry stands; the mark of a block lies behind the remarks after it."""
    node = entry[1] if isinstance(entry, tuple) else entry
    if isinstance(node.value, list) and node.value and not node.flow_style:
        return _end(text, node.value[-1])
    start = node.start_mark.index
    return start + len(text[start : node.end_mark.index].rstrip())


def _line_end(text: str, spot: int) -> int:
    end = text.find("\n", spot)
    return len(text) if end < 0 else end


def _line(key: str | int, value: Any) -> str:
    return f"{_flow(key)}: {_flow(value)}"


def _flow(value: Any) -> str:
    """Plain data on one line of YAML 1.2."""
    if isinstance(value, dict):
        return f"{{{', '.join(_line(key, each) for key, each in value.items())}}}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_flow, value))}]"
    if isinstance(value, str):
        word = PLAIN_WORD.fullmatch(value) and value.lower() not in NO_WORDS
        return value if word else json.dumps(value, ensure_ascii=False)
    return json.dumps(value)
