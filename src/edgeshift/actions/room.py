"""The room: one experiment held open while the shift runs, for everybody who looks at it at once.

Answers are asked once for all viewers and remembered until the book grows. Whoever listens is told of
every change, whoever made it: this process, or another one that wrote into the same book.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal, NamedTuple, TypeVar

from edgeshift.actions.ask import answer_known, ask_all, drawn
from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import find_scan
from edgeshift.actions.rounds import close_met_rounds
from edgeshift.actions.session import Known, Session
from edgeshift.actions.take import Taken, take
from edgeshift.errors import NoteRefused, Refusal
from edgeshift.folder.experiment_folder import TEXT
from edgeshift.folder.watch import AtRest, Running
from edgeshift.formats import pressure_log
from edgeshift.records.answer import QUESTIONS, Answer
from edgeshift.records.room import View
from edgeshift.wording.hush import HIDDEN_COMPLAINT, HIDDEN_WHY
from edgeshift.wording.names import Naming, open_naming

Made = TypeVar("Made")
SLOW = ("here", "say")
"""Questions that take a second or more: of the present a page shows the last answer, whatever came since."""
GROWN_S = 2.0
"""How often pages hear that a file has grown: a phone should not fetch all anew at every point."""
GO_BY_HERE = ("begin", "minutes")
"""Questions whose answers go by that to `here`: in a room by the last one that there is."""
NOT_NAMED = Answer("here", "cannot-tell", "", detail={"elements": {}})
MOST_REMEMBERED = 256
"""Views kept for one state of the room; a new state begins anew."""


class Refused(NamedTuple):
    """A file that could not be taken, and why."""

    name: str
    sentence: str
    time: str


class Kept(NamedTuple):
    """The last answers to a slow question, the curtain they were asked behind, the last scan they saw, and
    what the whole question stood on then."""

    answers: list[Answer]
    lot: tuple[str, ...] | None
    scan: str | None
    identity: str


def _told_of(running: tuple[Running, ...]) -> list[tuple[str, int]]:
    """What is worth telling every page of files that grow: which, and now and then how far they came."""
    return [(one.name, int(one.for_s // GROWN_S)) for one in running]


class Room:
    """An experiment folder, a session over it, and one lock: acts and answers never overlap."""

    def __init__(self, path: str | Path, desk: Desk | None = None) -> None:
        desk = desk or Desk()
        folder = desk.open(path)
        complaint = desk.accept_hand_edit(folder)
        self._begin(Session(folder, desk), desk, complaint)

    @classmethod
    def over(cls, session: Session) -> Room:
        """A room over a session that somebody else holds open, and closes."""
        made = cls.__new__(cls)
        made._begin(session, Desk(), None)
        return made

    def _begin(self, session: Session, desk: Desk, complaint: Refusal | None) -> None:
        self.session, self.folder, self.desk = session, session.folder, desk
        self._text = AtRest(self.folder.path / TEXT)
        self.complaint = complaint
        self.running: tuple[Running, ...] = ()
        self.refused: dict[str, Refused] = {}
        self._lock = threading.RLock()
        self.answered_aside = False
        self._in_vain: set[str] = set()
        self._kept: dict[str, Kept] = {}
        self._listeners: list[Callable[[str], None]] = []
        self._views: dict[Hashable, Any] = {}
        self._views_of: Hashable = None
        self._changes = 0
        self._met_up_to = 0
        self._meet_guesses()
        self._told = self.revision

    @property
    def revision(self) -> str:
        """Names the present state; another state has another name."""
        return f"{self.session.read_up_to}.{self._changes}"

    def listen(self, tell: Callable[[str], None]) -> None:
        """Have `tell` called with the new revision after every change, from whatever thread made it."""
        self._listeners.append(tell)

    def known(self, until: str | None = None) -> Known:
        """What was known at `until` (None: now), by its true names: for acts, never for a page."""
        with self._lock:
            return self.session.known(until)

    def seen(self, until: str | None = None) -> Known:
        """The same as the room may see it: behind the curtain where it was drawn at that moment, and where
        it is drawn now: nobody looks behind it by rewinding."""
        with self._lock:
            known = self.session.known(until)
            lot = self.session.known().state.curtain or known.state.curtain
            return self.session.veiled(known, lot) if lot else known

    def naming(self, until: str | None = None) -> Naming:
        """What everything is called at that moment."""
        return open_naming(self.seen(until).experiment)

    def true_name(self, said: str | None, of: Literal["arms", "specimens"] = "specimens") -> str | None:
        """The true name of what somebody named as the room sees it.

        Raises NoteRefused behind the curtain for any other name: what is shown of the act would tell what a
        true one is called there.
        """
        aliases = self.seen().aliases
        if said is None or aliases is None:
            return said
        called = {alias: name for name, alias in getattr(aliases, of).items()}
        if said not in called:
            raise NoteRefused("the name", "one that the room sees", repr(said), "Say it as the page does.")
        return called[said]

    def true_scan(self, said: str) -> str:
        """The scan that somebody means; behind the curtain nobody finds one by the name of its file."""
        seen = self.seen()
        return find_scan(seen.state, said) if seen.aliases else said

    def hushed(self, refusal: Refusal) -> Refusal:
        """A refusal as the room may read it."""
        aliases = self.seen().aliases
        if aliases is None:
            return refusal
        parts = (refusal.thing, refusal.needed, refusal.found, refusal.act)
        return type(refusal)(*map(aliases.hush, parts))

    @property
    def running_seen(self) -> tuple[Running, ...]:
        """The files that grow, behind the curtain without their names: no text knows those yet."""
        if not self.seen().aliases:
            return self.running
        return tuple(one._replace(name=f"file {nth}") for nth, one in enumerate(self.running, 1))

    @property
    def refused_seen(self) -> tuple[Refused, ...]:
        """The files that could not be taken, behind the curtain without names and what was found in them."""
        refused = tuple(self.refused.values())
        if not self.seen().aliases:
            return refused
        return tuple(Refused(f"file {nth}", HIDDEN_WHY, one.time) for nth, one in enumerate(refused, 1))

    @property
    def complaint_seen(self) -> str:
        """What does not hold in a text that was changed by hand; behind the curtain only that it does not."""
        return HIDDEN_COMPLAINT if self.complaint and self.seen().aliases else str(self.complaint or "")

    def ask(self, view: View, until: str | None = None) -> list[Answer]:
        """The answers, with their figures. Raises QuestionRefused as `actions.ask` does."""

        def made() -> list[Answer]:
            if until is None and self.is_fresh(view):
                return self._kept[view.question].answers
            seen = self.seen(until)
            options = {"named": self._last_named()} if until is None and view.question in GO_BY_HERE else {}
            return drawn(answer_known(self.session, seen, view.question, view.edge, view.compare, **options))

        return self.view(("answers", view, until), made)

    def _last_named(self) -> Answer:
        """The last answer to `here`, or one that names nothing: nobody waits for a slow question."""
        kept = self._kept.get("here")
        return (
            NOT_NAMED if kept is None or kept.lot != self.session.known().state.curtain else kept.answers[0]
        )

    def latest(self, view: View, until: str | None = None) -> list[Answer] | None:
        """The same for a page that cannot wait: to a slow question the last answers, None before the first.

        Answers to which something came since hold in their detail `as_of` the last scan that they know of.
        """
        if until is not None or view.question not in SLOW or view.edge or view.compare:
            return self.ask(view, until)
        with self._lock:
            kept = self._kept.get(view.question)
            if kept is None or kept.lot != self.known().state.curtain:
                return None
            if self.is_fresh(view):
                return kept.answers
            return [replace(one, detail={**one.detail, "as_of": kept.scan}) for one in kept.answers]

    def is_fresh(self, view: View) -> bool:
        """Whether the last answers to a slow question rest on just what is known now."""
        if view.question not in SLOW or view.edge or view.compare:
            return False

        def made() -> bool:
            kept, seen = self._kept.get(view.question), self.seen()
            if kept is None or kept.lot != self.session.known().state.curtain:
                return False
            return kept.identity == _stands_on(self.session, seen, view.question)

        return self.view(("fresh", view), made)

    def is_being_asked(self, question: str, until: str | None = None) -> bool:
        """Whether a slow question that has no answer yet will have one soon: there are scans to ask it of."""
        waits = self.answered_aside and until is None and question in SLOW and question not in self._in_vain
        return waits and bool(self.known().state.arrivals) and self.latest(View(question)) is None

    def asked_in_vain(self, question: str) -> None:
        """This question cannot be put to the scans that there are: nobody waits for it any more."""
        with self._lock:
            self._changes += question not in self._in_vain
            self._in_vain.add(question)
        self.refresh()

    def keep(self, question: str, session: Session, seen: Known, answers: list[Answer]) -> None:
        """Keep what another `session` answered aside, of its moment `seen`, and tell everybody."""
        with self._lock:
            scan = next(reversed(seen.state.arrivals), None)
            lot = (seen.open or seen).state.curtain
            self._kept[question] = Kept(answers, lot, scan, _stands_on(session, seen, question))
            self._changes += 1
        self.refresh()

    def all_answers(self, until: str | None = None) -> dict[str, list[Answer] | Refusal | None]:
        """The whole answers by question, in the order of the questions.

        None where there is no answer yet, a Refusal where the question cannot be put to this shift. A slow
        question has the last answer that there is.
        """
        return {question: self._or_why_not(View(question), until) for question in QUESTIONS}

    def view(self, key: Hashable, make: Callable[[], Made]) -> Made:
        """Something made from the present state, once for all who look."""
        with self._lock:
            self.session.known()
            if self._views_of != self.revision or len(self._views) > MOST_REMEMBERED:
                self._views, self._views_of = {}, self.revision
            if key not in self._views:
                self._views[key] = make()
                # asking may itself enter a look; what was made then already knows it
                self._views_of = self.revision
            return self._views[key]

    def act(self, do: Callable[..., Made], *details: Any, **more: Any) -> Made:
        """Let an action write into the book: `do(folder, desk, *details)`; then tell everybody."""
        with self._lock:
            self._meet_guesses()
            done = do(self.folder, self.desk, *details, **more)
        self.refresh()
        return done

    def take(self, name: str, data: bytes) -> Taken:
        """Take one finished file in; a refusal is kept for the host to see until the file changes.

        A gauge's log that stands among the scans is no scan that went wrong: it is left to whoever notes it.
        """
        with self._lock:
            taken = take(self.folder, [(name, data)], self.desk)[0]
            self.refused.pop(name, None)
        if taken.outcome in ("taken", "duplicate"):
            self.refresh()
        elif not pressure_log.is_one(name, data):
            self.refuse(name, taken.sentence)
        return taken

    def refuse(self, name: str, sentence: str) -> None:
        """Keep for all to see that a file could not be taken, and why."""
        with self._lock:
            self.refused[name] = Refused(name, sentence, self.desk.now())
            self._changes += 1
        self.refresh()

    def refresh(self, running: tuple[Running, ...] | None = None) -> bool:
        """Read what is new in the book, whoever wrote it, and tell everybody; whether anything was."""
        with self._lock:
            if running is not None and _told_of(running) != _told_of(self.running):
                self._changes += 1
            self.running = self.running if running is None else running
            self._read_text()
            self._meet_guesses()
            changed, self._told = self.revision != self._told, self.revision
        if changed:
            for tell in self._listeners:
                tell(self.revision)
        return changed

    def _read_text(self) -> None:
        """A text that somebody changed in an editor is taken in once it rests; one that does not hold is a
        complaint, and is read again when it or anything else has changed."""
        if self._text.news(also=self.session.read_up_to if self.complaint else None):
            before, self.complaint = self.complaint, self.desk.accept_hand_edit(self.folder)
            self._changes += str(before) != str(self.complaint)

    def write_results(self) -> None:
        """Bring `results/` up to date."""
        with self._lock:
            ask_all(self.session)

    def close(self) -> None:
        """Close the folder."""
        with self._lock:
            self.folder.close()

    def _meet_guesses(self) -> None:
        """Nobody guesses a trace that has landed, whoever took it: close the rounds that a scan answers
        which arrived after they were opened."""
        known = self.session.known()
        if self._met_up_to == self.session.read_up_to:
            return
        since = [one.number for one in known.state.rounds.values() if one.is_open and one.sort == "guess"]
        if since:
            came = _came_after(min(since), known)
            for scan in (scan for group in known.scans.values() for scan in group):
                number = max((came.get(key, 0) for key in (scan.key, *scan.regions)), default=0)
                if number:
                    close_met_rounds(self.folder, self.desk, scan.edge, scan.place.specimen, scan.key, number)
            self.session.known()
        self._met_up_to = self.session.read_up_to

    def _or_why_not(self, view: View, until: str | None) -> list[Answer] | Refusal | None:
        try:
            return self.latest(view, until)
        except Refusal as refusal:
            return refusal


def _stands_on(session: Session, seen: Known, question: str) -> str:
    """What the whole question stands on at a moment."""
    return session.identity(seen, f"{question}/None", tuple(seen.scans))


def _came_after(number: int, known: Known) -> dict[str, int]:
    """The scans that arrived, or grew, after this line of the book, each with its own last line."""
    events = [event for event in known.state.events if event.kind == "arrival" and event.number > number]
    return {event.payload["scan"]: event.number for event in events if event.payload.get("scan")}
