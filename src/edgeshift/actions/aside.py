"""Slow questions, answered aside: by a second reader of the folder, in a thread of its own.

No page waits for them and no file that lands does. What a page shows meanwhile says which scan it is of.
"""

from __future__ import annotations

import threading

from edgeshift.actions.ask import answer_known, drawn
from edgeshift.actions.room import SLOW, Room
from edgeshift.actions.saying import looked
from edgeshift.actions.session import Session
from edgeshift.errors import Refusal
from edgeshift.records.room import View

QUIET_S = 1.0
"""So long nothing may happen before a slow question is asked again."""
MOST_WAITS = 20
"""In a room that never rests it is asked all the same after so many of them."""


class Aside:
    """Answers the slow questions of a room whenever it rests, until it is stopped."""

    def __init__(self, room: Room) -> None:
        self.room = room
        self._news = threading.Event()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._answer, name="aside", daemon=True)
        room.listen(lambda _: self._news.set())

    def start(self) -> None:
        """Begin with what there is."""
        self.room.answered_aside = True
        self._news.set()
        self._thread.start()

    def stop(self) -> None:
        """Stop, after an answer that is being made."""
        self._stop.set()
        self._news.set()
        if self._thread.is_alive():
            self._thread.join()

    def _answer(self) -> None:
        with self.room.desk.open(self.room.folder.path) as folder:
            session = Session(folder, self.room.desk)
            while not self._stop.is_set():
                self._news.wait()
                for _ in range(MOST_WAITS):
                    self._news.clear()
                    if self._stop.is_set() or not self._news.wait(QUIET_S):
                        break
                if not self._stop.is_set():
                    catch_up(self.room, session)


def catch_up(room: Room, session: Session) -> None:
    """Ask anew what the room has no answer of its present state to; `session` reads the same folder."""
    for question in SLOW:
        if not room.is_fresh(View(question)):
            known = session.known()
            lot = known.state.curtain
            seen = session.veiled(known, lot) if lot else known
            said = question == "say"
            try:
                seen = looked(session, seen) if said else seen
                room.keep(question, session, seen, drawn(answer_known(session, seen, question, stress=said)))
            except Refusal:  # whoever asks for it is told why
                room.asked_in_vain(question)
