"""The story of a folder, rewound to any minute, and of a room that may not know which arm is which."""

import json

import pytest
from acted import EVENING, NOTED, SAID, WHY_ASIDE, acted
from practised import begun, files

from edgeshift.actions.ask import answer
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.entering import Who
from edgeshift.actions.new import new
from edgeshift.actions.practise import How, practise
from edgeshift.actions.room import Room
from edgeshift.actions.session import Session
from edgeshift.actions.showing import draw_curtain
from edgeshift.actions.story import as_plain, room_story, story
from edgeshift.errors import FolderRefused, QuestionRefused
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.wording.story import as_lines


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    place = tmp_path_factory.mktemp("story") / "riverbank"
    acted(place).close()
    return place


def lines(told):
    return told.naming("\n".join(as_lines(told.story))).splitlines()


def test_it_tells_what_was_done_decided_and_found_in_order(shift):
    said = [line.partition("  ")[2] for line in lines(story(shift, desk=steady_desk(), whole=True))[1:]]
    done = [one for one in said if one]
    assert done[0].startswith("Scanned since ") and "six at K L, six at Ti L" in done[0]
    assert done[1:6] == [
        f"Scan 2 set aside by the host. “{WHY_ASIDE}”",
        "Two voted: 2 for “one more pot”.",
        "Decided: one more pot, 24 min. “the pots matter most”",
        f"Claimed, level 3: “{SAID}”",
        f"Noted: “{NOTED}”",
    ]


def test_its_last_lines_are_the_answers_as_they_are_given(shift):
    told = story(shift, desk=steady_desk())
    with ExperimentFolder.open(shift) as folder:
        given = answer(Session(folder), "real")
    mine = [one for one in told.story.answers if one.question == "real"]
    assert [(one.edge, one.verdict, one.sentence, one.identity) for one in mine] == [
        (one.edge, one.verdict, one.sentence, one.identity) for one in given
    ]


def test_the_practice_shift_is_told_in_a_minute(tmp_path):
    practise(tmp_path / "shift", 1, desk=steady_desk(EVENING, 1.0), how=How(traps="all", asked=False))
    told = story(tmp_path / "shift", desk=steady_desk())
    words = " ".join(lines(told)).split()
    assert 40 < len(words) <= 200
    assert any(one.kind in ("aside", "trip") for one in told.story.moments)


def test_a_moment_of_the_book_rewinds_it(shift):
    whole = story(shift, desk=steady_desk(), whole=True).story
    third = whole.moments[2]
    then = story(shift, third.known, desk=steady_desk(), whole=True).story
    assert then.moments == whole.moments[:3]
    assert then.until == third.known


def test_a_minute_of_the_day_rewinds_it_to_what_was_scanned_by_then(tmp_path):
    begun(tmp_path / "shift", files("KL"), desk=steady_desk(EVENING)).close()
    every = story(tmp_path / "shift", desk=steady_desk("2026-03-14T22:00:00.000Z"), whole=True).story.moments[
        0
    ]
    first, last = every.words.split()[2].rstrip(":"), every.time[11:16]
    desk = steady_desk("2026-03-14T23:00:00.000Z")
    assert "one at K L" in lines(story(tmp_path / "shift", first, desk=desk))[1]
    assert "six at K L" in lines(story(tmp_path / "shift", last, desk=desk))[1]


@pytest.mark.parametrize(
    ("until", "words"),
    [
        ("13:00", "the time: needed a minute of the shift, .* found 13:00. Type a later one"),
        ("25:00", "the time: needed a minute of the day, as 12:40, found 25:00"),
        ("noon", "the time: needed ISO 8601"),
    ],
)
def test_a_time_that_is_none_of_the_shifts_is_refused(shift, until, words):
    with pytest.raises(QuestionRefused, match=words):
        story(shift, until, desk=steady_desk())


def test_an_experiment_in_which_nothing_happened_says_so(tmp_path):
    new(tmp_path / "shift", "question: nothing yet?\n", steady_desk()).close()
    assert lines(story(tmp_path / "shift", desk=steady_desk()))[:2] == [
        "nothing yet?",
        "Nothing has happened yet.",
    ]
    with pytest.raises(QuestionRefused, match="needed a shift that has begun, found an empty book"):
        story(tmp_path / "shift", "12:40", desk=steady_desk())


def test_a_folder_that_is_none_is_refused(tmp_path):
    with pytest.raises(FolderRefused, match="needed the folder of an experiment"):
        story(tmp_path / "nowhere", desk=steady_desk())


def test_behind_the_curtain_no_arm_is_named(tmp_path):
    desk = steady_desk(EVENING)
    with acted(tmp_path / "shift", desk) as folder:
        draw_curtain(folder, desk, Who("host", "raw clay and fired clay are guessed first"))
    room = Room(tmp_path / "shift", desk)
    try:
        told = json.dumps(as_plain(room_story(room, whole=True)))
    finally:
        room.close()
    assert "Curtain drawn." in told
    for name in ("raw clay", "fired", "PIT750", "RAW-A"):
        assert name not in told, name


def test_in_an_open_room_it_is_the_story_of_the_command_line(shift):
    room = Room(shift, steady_desk())
    try:
        mine = room_story(room, whole=True)
    finally:
        room.close()
    assert mine.story.moments == story(shift, desk=steady_desk(), whole=True).story.moments
