"""Change the experiment text from the page: checked, written, a line of the book, and undone by another."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, reason_given, role_given, words
from edgeshift.errors import NoteRefused, TextRefused
from edgeshift.folder.experiment_folder import TEXT, ExperimentFolder
from edgeshift.records.event import Event
from edgeshift.records.shift_state import ShiftState, replay

Make = Callable[[ShiftState], str]
"""Makes the new text from what is known."""


def edit(folder: ExperimentFolder, desk: Desk, who: Who, text: str, seen: int | None = None) -> Event:
    """Put another experiment text in force.

    `seen` is the line of the text that whoever edits had before them (ShiftState.experiment_number); where
    another has come since, nothing is overwritten. Raises TextRefused with the lines that do not hold.
    """

    def make(state: ShiftState) -> str:
        _nothing_newer(state, seen)
        return text.replace("\r\n", "\n").replace("\r", "\n")

    return _enter_text(folder, desk, who, make)


def edit_value(
    folder: ExperimentFolder,
    desk: Desk,
    who: Who,
    path: Sequence[str | int],
    value: Any,
    seen: int | None = None,
) -> Event:
    """Change one value of the text in its place; every remark in it stays. None takes the value out.

    `path` as ("recipe", "flag", "spike_sigmas") or ("edges", "Al K", "matters"): fields, and entries of
    lists by number, name or edge, "+" for one more.
    """

    def make(state: ShiftState) -> str:
        from edgeshift.formats.text_splice import with_value

        _nothing_newer(state, seen)
        return with_value(state.experiment_text, path, value, TEXT)

    return _enter_text(folder, desk, who, make)


def undo_edit(folder: ExperimentFolder, desk: Desk, who: Who, number: int) -> Event:
    """Put the text in force that stood before the edit in line `number`; later edits go with it."""

    def make(state: ShiftState) -> str:
        texts = [event for event in state.events if event.kind == "experiment"]
        place = next((n for n, event in enumerate(texts) if event.number == number), None)
        if not place:
            found = "none" if place is None else "the first text"
            raise NoteRefused(f"line {number}", "an edit of the text", found, "Name it by its line.")
        return texts[place - 1].payload["text"]

    return _enter_text(folder, desk, who, make)


def difference(old_text: str, new_text: str) -> tuple[str, ...]:
    """What differs between two experiment texts, in words that still hold tokens for names.

    Raises TextRefused where the new text does not hold. Of an old one that no longer holds nothing is said.
    """
    from edgeshift.formats.experiment_text import load
    from edgeshift.wording.changes import difference_in_words

    new = load(new_text, TEXT)
    try:
        old = load(old_text, TEXT)
    except TextRefused:
        return ("The text before does not hold any more, so nothing can be compared.",)
    return difference_in_words(old, new)


def what_changed(state: ShiftState, number: int) -> tuple[str, ...]:
    """What the edit in line `number` changed, as `difference` tells it; nothing for the first text."""
    texts = [event for event in state.events if event.kind == "experiment" and event.number <= number]
    if len(texts) < 2 or texts[-1].number != number:
        return ()
    return difference(texts[-2].payload["text"], texts[-1].payload["text"])


def _enter_text(folder: ExperimentFolder, desk: Desk, who: Who, make: Make) -> Event:
    """Accept what was changed by hand first, so that nobody's work is overwritten; then write and enter."""
    role = role_given(who)
    reason_given(who, "the edit")
    _hand_edit_accepted(folder, desk, role)

    def decide(events: tuple[Event, ...]) -> list[Event]:
        state = replay(events)
        text = _checked(make(state), folder, state)
        return [Event(0, desk.now(), "experiment", role, words("the reason", who.reason), {"text": text})]

    return folder.change_text(decide)


def _hand_edit_accepted(folder: ExperimentFolder, desk: Desk, role: str) -> None:
    if desk.accept_hand_edit(folder, role) is not None:
        # A text that was missing is back now; one that does not hold is still there.
        complaint = desk.accept_hand_edit(folder, role)
        if complaint is not None:
            raise complaint


def _checked(text: str, folder: ExperimentFolder, state: ShiftState) -> str:
    from edgeshift.actions.new_text import check_text

    if any("\ud800" <= letter <= "\udfff" for letter in text):
        raise TextRefused(TEXT, "text in UTF-8", "letters that are none", "Type them anew.")
    if text == state.experiment_text:
        raise NoteRefused("the edit", "a change", "the text as it is", "Nothing was entered.")
    check_text(text, folder, state)
    return text


def _nothing_newer(state: ShiftState, seen: int | None) -> None:
    if seen is not None and seen != state.experiment_number:
        found = f"one of line {state.experiment_number}"
        raise NoteRefused(
            "the edit", f"the text of line {seen}", found, "Look at the new text, then edit it."
        )
