"""Events of the book as lines of JSON: one event a line, keys in a fixed order, the same bytes each time."""

from __future__ import annotations

import json

from edgeshift.errors import NoteRefused, TextRefused
from edgeshift.records.event import KINDS, Event

FIELDS = {"number": int, "time": str, "kind": str, "role": str, "reason": str, "payload": dict}


def dump(event: Event) -> str:
    """One line without its end. Raises NoteRefused for a payload that JSON cannot hold (NaN, objects)."""
    record = {name: getattr(event, name) for name in FIELDS}
    record["payload"] = _sorted(dict(event.payload))
    try:
        return json.dumps(record, ensure_ascii=False, allow_nan=False, separators=(", ", ": "))
    except (TypeError, ValueError) as trouble:
        found = f"a value without a text form ({trouble})"
        raise NoteRefused(
            f"event {event.number}", "numbers, texts, lists", found, "Say it in words."
        ) from trouble


def load(line: str, name: str = "event line") -> Event:
    """The event in one line. Raises TextRefused where the line is no such event."""
    try:
        record = json.loads(line)
    except (ValueError, RecursionError):
        raise TextRefused(name, "one event as JSON", "something else", "Take the line out.") from None
    if not isinstance(record, dict) or set(record) != set(FIELDS):
        raise TextRefused(name, f"the fields {', '.join(FIELDS)}", "others", "Take the line out.")
    wrong = next((field for field, kind in FIELDS.items() if type(record[field]) is not kind), None)
    if wrong or record["kind"] not in KINDS:
        found = f"'{record[wrong or 'kind']}' as {wrong or 'kind'}"
        raise TextRefused(name, "an event of the book", found[:80], "Take the line out.")
    return Event(**record)


def _sorted(value: object) -> object:
    """Dictionaries with sorted keys all the way down; the top order is the record's own."""
    if isinstance(value, dict):
        return {str(key): _sorted(value[key]) for key in sorted(value, key=str)}
    if isinstance(value, list | tuple):
        return [_sorted(item) for item in value]
    return value
