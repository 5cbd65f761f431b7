"""What goes home for people to read: documents of one gathered material, by the rules of a venue."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from edgeshift.actions.desk import Desk
from edgeshift.actions.gathering import gather
from edgeshift.actions.gathering_exhibit import gather_hands_on
from edgeshift.actions.room import Room
from edgeshift.actions.session import Session
from edgeshift.errors import QuestionRefused, Refusal
from edgeshift.folder.documents import put_documents
from edgeshift.formats.experiment_text import load_venue
from edgeshift.publish.exhibit import exhibit
from edgeshift.publish.hands_on import HandsOn
from edgeshift.publish.jargon import Jargon, jargon
from edgeshift.publish.material import Material
from edgeshift.publish.poster import poster
from edgeshift.publish.report import report
from edgeshift.publish.slides import slides
from edgeshift.publish.web_report import web_report
from edgeshift.recipe.venue import Venue

Document = Callable[[Material], Mapping[str, bytes]]
"""Writes something for people from the material alone: file name -> bytes, always the same."""


def written(venue: Venue | None = None, hands_on: HandsOn | None = None) -> tuple[Document, ...]:
    """What is written for people, in order. A new document hangs on here and nowhere else.

    The exhibit is among them where what can be tried on it was gathered, which takes a while.
    """
    shown = (partial(exhibit, hands_on=hands_on),) if hands_on else ()
    return (report, web_report, partial(poster, venue=venue), slides, *shown)


def venue_of(text: str, name: str) -> Venue:
    """The rules of the venue that a text (YAML) describes. Raises TextRefused naming every fault."""
    return load_venue(text, name)


@dataclass(frozen=True)
class Published:
    """Documents on the disk, and how many of the group's words are the trade's."""

    paths: tuple[Path, ...]
    jargon: Jargon
    complaint: Refusal | None = None


def publish(path: str | Path, venue: Venue | None = None, *, desk: Desk) -> Published:
    """Write every document of the experiment at `path` into `documents/`; the last ones are replaced.

    Raises QuestionRefused where nothing was measured yet, and as `documents` does.
    """
    with desk.open(path) as folder:
        complaint = desk.accept_hand_edit(folder)
        room = Room.over(Session(folder, desk))
        if not room.known().state.arrivals:
            raise QuestionRefused("the documents", "a scan to tell of", "none yet", "Take a file first.")
        material = gather(room)
        made = _made(material, written(venue, gather_hands_on(room)))
        there = put_documents(folder, made)
    return Published(there, jargon(material), complaint)


def documents(
    room: Room, venue: Venue | None = None, each: Sequence[Document] | None = None
) -> dict[str, bytes]:
    """Every document of the room as it stands but the exhibit, by file name; `each` in place of them.

    Raises AgainstVenue where a text breaks a rule of the venue, and as the documents do.
    """
    return _made(gather(room), written(venue) if each is None else each)


def _made(material: Material, each: Sequence[Document]) -> dict[str, bytes]:
    made: dict[str, bytes] = {}
    for document in each:
        made |= document(material)
    return made
