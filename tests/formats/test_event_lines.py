"""Events as lines: one line each, the same bytes each time."""

from __future__ import annotations

import pytest

from edgeshift.errors import NoteRefused, TextRefused
from edgeshift.formats import event_lines
from edgeshift.records.event import Event

EVENT = Event(
    7, "2026-05-01T09:30:00Z", "judge", "host", "spark at 1568 eV", {"verdict": "set-aside", "scan": "clay"}
)


def test_an_event_is_one_line_in_a_fixed_order() -> None:
    line = event_lines.dump(EVENT)
    assert "\n" not in line
    assert line.index('"number"') < line.index('"time"') < line.index('"payload"')
    assert line.index('"scan"') < line.index('"verdict"')
    assert event_lines.load(line) == EVENT
    assert event_lines.dump(event_lines.load(line)) == line


def test_line_ends_inside_words_do_not_break_the_line() -> None:
    noted = Event(8, "2026-05-01T09:31:00Z", "write", "student", "", {"text": "two\nlines é"})
    assert "\n" not in event_lines.dump(noted)
    assert event_lines.load(event_lines.dump(noted)) == noted


def test_a_payload_without_a_text_form_is_refused() -> None:
    for value in (float("nan"), object()):
        with pytest.raises(NoteRefused, match="without a text form"):
            event_lines.dump(Event(1, "t", "write", "host", "", {"text": value}))


@pytest.mark.parametrize("line", ["", "{", "[]", "{}", '{"number": 1}', "[" * 100_000])
def test_a_line_that_is_no_event_is_refused(line: str) -> None:
    with pytest.raises(TextRefused, match="needed"):
        event_lines.load(line)


@pytest.mark.parametrize(("old", "new"), [('"number": 7', '"number": "7"'), ('"judge"', '"guess again"')])
def test_a_line_with_a_wrong_field_is_refused(old: str, new: str) -> None:
    with pytest.raises(TextRefused, match="needed an event of the book"):
        event_lines.load(event_lines.dump(EVENT).replace(old, new))
