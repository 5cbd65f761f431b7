"""What the Stage shows: one answer, its sentence, its picture and a question to the room."""

from __future__ import annotations

from dataclasses import dataclass, replace

from edgeshift.actions.dealing import lie_face_down
from edgeshift.actions.expecting import landed, open_round, with_sketches
from edgeshift.actions.room import Room
from edgeshift.actions.session import Known
from edgeshift.actions.veil import looks_behind
from edgeshift.drawing.tokens import OPEN, Looks
from edgeshift.errors import Refusal
from edgeshift.figures import minutes
from edgeshift.questions.real import VERDICTS
from edgeshift.records.answer import Answer
from edgeshift.records.figure import Blank, Figure
from edgeshift.records.room import View
from edgeshift.wording.names import Naming, open_naming, scan_words
from edgeshift.wording.prompts import prompt
from edgeshift.wording.rounds import invited
from edgeshift.wording.screen import ENGLISH, Say


@dataclass(frozen=True)
class Staged:
    """Everything the Stage shows of one view at one moment. `answer` is None where nothing can be said yet.

    Texts hold name tokens; `naming` turns them into names, last. `invitation` says of which
    scan an older answer is, and which rounds are open;
    `caution` is what the whole says against a part: it stands beside the sentence, not in a list;
    `ghosts` is how many sketches lie beneath the curve; `face_down` hides what cards say.
    """

    view: View
    until: str | None
    answer: Answer | None
    sentence: str
    asked: str
    figure: Figure
    naming: Naming
    looks: Looks
    edges: tuple[str, ...] = ()
    invitation: tuple[str, ...] = ()
    caution: str = ""
    ghosts: int = 0
    face_down: bool = False


def staged(
    room: Room,
    view: View | None = None,
    until: str | None = None,
    say: Say = ENGLISH,
    for_host: bool = False,
) -> Staged:
    """The Stage at `until`: `view` where somebody chose one, else what the host shows, else what there is.

    What belongs to no answer is told in the language of `say`. Cards that lie face down show their faces
    `for_host` alone.
    """
    known = room.seen(until)
    shown = known.state.shown
    view = view or (shown.now if shown else _what_there_is(room, until))
    found = _asked(room, view, until)
    answer = _narrowed(found, view)
    pictured = _pictured(known, found, answer)
    figure = pictured.figure if pictured else _blank(room, view, until, say)
    if answer and pictured is not answer:  # the rungs of the other edges are told, though not drawn
        figure = replace(figure, alt=f"{answer.figure.alt} {figure.alt}")
    sentence = answer.marked if answer else figure.sentence
    face_down = view.question == "minutes" and not for_host and lie_face_down(known.state)
    if face_down and answer:
        figure = minutes.figure(answer, hidden=True)
    met = landed(room, view.edge, until) if answer and _can_hold_sketches(view, answer) else None
    if met:
        figure = with_sketches(room, answer, figure, met, view.edge, until)
    return Staged(
        view,
        until,
        answer,
        sentence,
        say("ask.guessed") if met and met.sketches else prompt(view.question, answer, say),
        replace(figure, sentence="", question_to_room=None),
        open_naming(known.experiment),
        _looks(known, pictured),
        tuple(edge for edge in known.scans if edge in {a.edge for a in found}),
        (*_as_of(answer, say), *_invitation(known)) if until is None else (),
        _caution(found, answer),
        len(met.sketches) if met else 0,
        face_down,
    )


def _pictured(known: Known, found: list[Answer], answer: Answer | None) -> Answer | None:
    """Whose picture stands beside the sentence: its own; that of all edges shows the most telling one.

    That is a family edge before others, one declared before looking, the highest verdict, and of several the
    one that was scanned last. Where no edge has curves, the whole keeps its own picture.
    """
    if answer is None or "edges" not in answer.detail:
        return answer
    came = {key: place for place, key in enumerate(known.state.arrivals)}

    def telling(one: Answer) -> tuple[bool, bool, int, int]:
        detail, scans = one.detail, known.scans.get(one.edge, ())
        last = max((came.get(scan.key, -1) for scan in scans), default=-1)
        family, before = detail.get("role") == "family", detail.get("declared") == "before"
        return family, before, VERDICTS.index(one.verdict), last

    drawn = [one for one in found if one.edge and one.detail.get("curves")]
    return max(drawn, key=telling, default=answer)


def _caution(found: list[Answer], answer: Answer | None) -> str:
    """What the answer for all edges warns of, on the page of each of them that it holds for."""
    whole = next((one for one in found if one.edge is None), None)
    if not answer or not whole or answer is whole:
        return ""
    return " ".join(one for one in answer.cautions if one in whole.cautions)


def _can_hold_sketches(view: View, answer: Answer) -> bool:
    """Sketches belong to one edge: beneath its curves, or in place of its shelf."""
    return bool(view.edge) and not view.compare and (answer.edge == view.edge or view.question == "trust")


def _as_of(answer: Answer | None, say: Say) -> tuple[str, ...]:
    """Of which moment an answer is that something came since."""
    scan = answer and answer.detail.get("as_of")
    return (say("page.as-of", scan=scan_words(scan)),) if scan else ()


def _invitation(known: Known) -> tuple[str, ...]:
    """What everybody is asked to do now."""
    rounds = ((sort, open_round(known.state, sort)) for sort in ("guess", "vote"))
    return tuple(invited(sort, len(there.guesses or there.votes)) for sort, there in rounds if there)


def _looks(known: Known, answer: Answer | None) -> Looks:
    """How the arms are drawn: openly, or without a hue behind the drawn curtain."""
    return looks_behind(known, answer) if known.aliases and answer else OPEN


def _what_there_is(room: Room, until: str | None) -> View:
    """Before the host chose: whether it is real, where arms can be compared; else whether traces hold."""
    found = room.all_answers(until)
    return View("real") if isinstance(found["real"], list) and found["real"] else View("trust")


def _asked(room: Room, view: View, until: str | None) -> list[Answer]:
    try:
        return room.latest(View(view.question, None, view.compare), until) or []
    except Refusal:
        return []


def _narrowed(found: list[Answer], view: View) -> Answer | None:
    """The answer of the edge, else the one that sums up all, else the only one."""
    return next((a for a in found if a.edge == view.edge), found[0] if found else None)


def _blank(room: Room, view: View, until: str | None, say: Say) -> Figure:
    """Nothing to show yet: the answer is on its way, or it waits for scans, be it the first."""
    if room.is_being_asked(view.question, until):
        words, act = say("blank.asking"), say("blank.asking-act")
    else:
        words = say("blank.not-yet")
        act = say("blank.more" if room.seen(until).state.arrivals else "blank.act")
    return Figure("blank", words, (Blank("not-yet", words, act),), words)
