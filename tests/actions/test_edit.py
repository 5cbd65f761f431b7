"""The experiment text is changed from the page: checked, with a reason, and undone by another line."""

import pytest
from a_room import HOST, TEXT, state

from edgeshift.actions.edit import difference, edit, edit_value, undo_edit, what_changed
from edgeshift.actions.entering import Who
from edgeshift.actions.showing import draw_curtain
from edgeshift.errors import FolderRefused, NoteRefused, TextRefused

OTHER = TEXT.replace("the fire", "the rain")


def on_disk(folder) -> str:
    return (folder.path / "experiment.yaml").read_text(encoding="utf-8")


def by_hand(folder, text: str) -> None:
    (folder.path / "experiment.yaml").write_text(text, encoding="utf-8")


def test_an_edit_is_a_line_of_the_book_and_a_text_on_the_disk(folder, desk):
    event = edit(folder, desk, Who("teacher", "it rained"), OTHER)
    assert (event.kind, event.role, event.reason) == ("experiment", "teacher", "it rained")
    assert state(folder).experiment_text == on_disk(folder) == OTHER
    assert desk.accept_hand_edit(folder) is None
    assert len(folder.events()) == event.number


def test_a_form_sends_its_own_line_ends_and_the_text_keeps_ours(folder, desk):
    edit(folder, desk, HOST, OTHER.replace("\n", "\r\n"))
    assert state(folder).experiment_text == OTHER


def test_a_single_value_is_changed_and_the_remark_stays(folder, desk):
    edit_value(folder, desk, HOST, ("recipe", "flag", "spike_sigmas"), 5)
    text = on_disk(folder)
    assert "# the control did not get the treatment\n" in text
    assert difference(TEXT, text) == ("Flag, spike sigmas: 6 became 5 standard deviations.",)


@pytest.mark.parametrize(
    ("path", "value", "refusal", "words"),
    [
        (
            ("recipe", "flag", "spike_sigmas"),
            50,
            TextRefused,
            "recipe, flag, spike_sigmas: needed a number not",
        ),
        (("recipe", "flag", "spike_sigma"), 5, TextRefused, "Did you mean 'spike_sigmas'"),
        (("recipe", "flag", "spike_sigmas"), float("inf"), TextRefused, "needed words, numbers, or lists"),
        (("arms", "glazed", "words"), "x", TextRefused, "needed an entry that is there"),
        (("units", "A", "arm"), "glazed", TextRefused, "names the arm 'glazed'"),
        (("arms", "fired", "words"), "{arm:raw}", TextRefused, "plain words without braces"),
        (
            ("arms", "fired", "name"),
            "fired",
            NoteRefused,
            "the edit: needed a change, found the text as it is",
        ),
    ],
)
def test_a_value_that_does_not_hold_changes_nothing(folder, desk, path, value, refusal, words):
    before = folder.events()
    with pytest.raises(refusal, match=words):
        edit_value(folder, desk, HOST, path, value)
    assert (folder.events(), on_disk(folder)) == (before, TEXT)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("question: [", "experiment.yaml:1: needed valid YAML"),
        ("question: x\nquests: y\n", "experiment.yaml:2: needed a field that is known here"),
        ("question: \ud800\n", "experiment.yaml: needed text in UTF-8, found letters that are none"),
    ],
)
def test_a_text_that_does_not_hold_changes_nothing(folder, desk, text, words):
    before = folder.events()
    with pytest.raises(TextRefused, match=words):
        edit(folder, desk, HOST, text)
    assert (folder.events(), on_disk(folder)) == (before, TEXT)


def test_an_edit_says_why(folder, desk):
    with pytest.raises(NoteRefused, match="the edit: needed a reason, found none"):
        edit(folder, desk, Who("host"), OTHER)
    with pytest.raises(NoteRefused, match="the role: needed one of host"):
        edit(folder, desk, Who("king", "why"), OTHER)


def test_nobody_overwrites_what_they_have_not_seen(folder, desk):
    seen = state(folder).experiment_number
    now = edit(folder, desk, HOST, OTHER, seen).number
    with pytest.raises(
        NoteRefused, match=f"the edit: needed the text of line {seen}, found one of line {now}"
    ):
        edit(folder, desk, HOST, TEXT, seen)
    with pytest.raises(NoteRefused, match="needed the text of line"):
        edit_value(folder, desk, HOST, ("question",), "why?", seen)


def test_what_was_changed_by_hand_is_accepted_before_it_is_edited(folder, desk):
    by_hand(folder, OTHER)
    edit_value(folder, desk, HOST, ("recipe", "flag", "spike_sigmas"), 5)
    assert [e.reason for e in folder.events() if e.kind == "experiment"] == [
        "begun",
        "changed by hand",
        HOST.reason,
    ]
    assert "the rain" in on_disk(folder)


def test_a_broken_text_on_the_disk_is_not_overwritten(folder, desk):
    by_hand(folder, "question: [half done")
    with pytest.raises(TextRefused, match="experiment.yaml:1: needed valid YAML"):
        edit(folder, desk, HOST, OTHER)
    assert on_disk(folder) == "question: [half done"


def test_a_text_that_was_lost_is_put_back_and_edited(folder, desk):
    (folder.path / "experiment.yaml").unlink()
    edit(folder, desk, HOST, OTHER)
    assert on_disk(folder) == OTHER


def test_an_edit_is_undone_by_another_line(folder, desk):
    number = edit(folder, desk, HOST, OTHER).number
    with pytest.raises(NoteRefused, match="the edit: needed a reason"):
        undo_edit(folder, desk, Who("host"), number)
    undo_edit(folder, desk, Who("host", "it was the fire after all"), number)
    assert state(folder).experiment_text == on_disk(folder) == TEXT
    assert len([e for e in folder.events() if e.kind == "experiment"]) == 3


@pytest.mark.parametrize(("number", "found"), [(1, "the first text"), (2, "none"), (99, "none")])
def test_what_is_no_edit_is_not_undone(folder, desk, number, found):
    with pytest.raises(NoteRefused, match=f"line {number}: needed an edit of the text, found {found}"):
        undo_edit(folder, desk, HOST, number)


def test_no_arm_comes_or_goes_behind_a_drawn_curtain(folder, desk):
    draw_curtain(folder, desk, HOST)
    with pytest.raises(
        NoteRefused, match="the arms: needed those behind the curtain.*Open the curtain first"
    ):
        edit_value(folder, desk, HOST, ("arms", "+"), {"name": "glazed"})
    edit_value(folder, desk, HOST, ("recipe", "flag", "spike_sigmas"), 5)


def test_a_locked_folder_is_not_edited(folder, desk):
    folder.book.writable = False
    with pytest.raises(FolderRefused, match="needed a folder we may write to"):
        edit(folder, desk, HOST, OTHER)
    assert on_disk(folder) == TEXT


def test_of_a_text_that_no_longer_holds_nothing_is_compared():
    assert difference("question: [", TEXT) == (
        "The text before does not hold any more, so nothing can be compared.",
    )
    with pytest.raises(TextRefused, match="needed valid YAML"):
        difference(TEXT, "question: [")


def test_every_edit_says_what_it_changed(folder, desk):
    numbers = [edit_value(folder, desk, HOST, ("recipe", "flag", "spike_sigmas"), n).number for n in (5, 4)]
    assert [what_changed(state(folder), number) for number in (1, 2, *numbers)] == [
        (),
        (),
        ("Flag, spike sigmas: 6 became 5 standard deviations.",),
        ("Flag, spike sigmas: 5 became 4 standard deviations.",),
    ]
