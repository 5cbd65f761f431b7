"""A moment of the shift behind a curtain: the question is veiled, so that no answer has to be.

Every arm, unit, specimen, spot and file has another name, and with two arms P is the reference, whichever
it truly is. Then everything is asked as ever, and what comes out cannot tell what did not go in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from itertools import count
from typing import TYPE_CHECKING, Any

from edgeshift.actions.aliases import Aliases, aliases, references_in, secrets_in
from edgeshift.drawing.tokens import Looks, curtain_looks
from edgeshift.errors import Refusal
from edgeshift.formats.experiment_text import dump, load
from edgeshift.records.answer import Answer
from edgeshift.records.event import Event
from edgeshift.records.figure import ARM_ROLES
from edgeshift.records.once import Once
from edgeshift.records.scan import Place, Scan
from edgeshift.records.shift_state import Arrival, Judgement, ShiftState
from edgeshift.wording.hush import HIDDEN, Hush
from edgeshift.wording.names import scan_words

if TYPE_CHECKING:
    from edgeshift.actions.session import Known

CLOSED = frozenset(
    ("scan", "scans", "met", "compare", "edge", "verdict", "question", "kind", "sort", "state", "round", "by",
     "role", "time", "until")
)  # fmt: skip
"""Fields of an event or a record that hold keys and words from closed lists, and no name."""
NAMED = frozenset(("arm", "arms", "curtain", "higher", "unit", "specimen"))
"""Fields that hold a name and nothing else."""


def veiled(known: Known, lot: tuple[str, ...], once: Once | None = None) -> Known:
    """The same moment as a room may see it while the curtain is drawn; pure.

    `lot` holds the arms in the order P, Q, ... What is made is remembered by `once`, as long as its caller
    keeps `known` alive.
    """
    once = once or Once(None)
    secrets = _ever_named(known.state, once)
    key = ("aliases", id(known.experiment), lot, secrets)
    names = once(key, lambda: (known.experiment, aliases(known.experiment, lot, secrets)))[1]
    behind = _Curtain(names, known, once)
    return replace(
        known,
        state=behind.state(),
        experiment=names.experiment,
        scans={edge: tuple(map(behind.scan, group)) for edge, group in known.scans.items()},
        judged={key: behind.judgement(one) for key, one in known.judged.items()},
        open=known,
        aliases=replace(names, hush=behind.hush),
    )


def looks_behind(known: Known, answer: Answer) -> Looks:
    """How the arms of a veiled answer are drawn: each by its place in the lot, wherever it stands."""
    detail = answer.detail
    order = [arm.name for arm in known.experiment.arms]
    arms = [detail.get("control"), *(detail.get("treated") or ())]
    places = [order.index(arm) % len(ARM_ROLES) for arm in arms if arm in order]
    return curtain_looks(places if len(set(places)) == len(places) else ())


def _ever_named(state: ShiftState, once: Once) -> frozenset[str]:
    """The secrets of every text that was accepted so far: people still speak by the names of last week."""
    texts = dict.fromkeys(event.payload["text"] for event in state.events if event.kind == "experiment")
    return frozenset().union(*(once(("secrets", text), lambda text=text: _named_in(text)) for text in texts))


def _named_in(text: str) -> frozenset[str]:
    try:
        return secrets_in(load(text, "experiment.yaml"))
    except Refusal:  # accepted by an older version, and no text to this one
        return frozenset()


@dataclass(frozen=True)
class _Moment:
    """What the aliases of the text do not know: what only the files named."""

    unlisted: Mapping[str, str]
    spots: Mapping[tuple[str | None, str], str]
    bytes_of: Mapping[str, str]
    sources: Mapping[str, str]
    hush: Hush


class _Curtain:
    """One moment, thing by thing."""

    def __init__(self, names: Aliases, known: Known, once: Once) -> None:
        self.names, self.open, self.once = names, known.state, once
        self.moment = _moment(names, known)
        self.hush = self.moment.hush

    def state(self) -> ShiftState:
        """The state; what is not named here is hushed word for word."""
        state, names = self.open, self.names
        events = {event.number: self._event(event) for event in state.events}
        made = {
            "events": tuple(events.values()),
            "experiment_text": self.once(("veiled text", id(names)), lambda: dump(names.experiment)),
            "experiment_number": state.experiment_number,
            "arrivals": {key: self._arrival(one) for key, one in state.arrivals.items()},
            "judgements": {key: self.judgement(one) for key, one in state.judgements.items()},
            "ties": tuple(replace(tie, source=self.moment.sources[tie.source]) for tie in state.ties),
            "places": {key: self._place_said(place) for key, place in state.places.items()},
            "looks": tuple(events[event.number] for event in state.looks),
            "notes": tuple(events[event.number] for event in state.notes),
            "pumping": tuple(events[event.number] for event in state.pumping),
            "positions": {
                self._specimen(key): events[event.number] for key, event in state.positions.items()
            },
        }
        rest = {f.name for f in fields(state)} - made.keys()
        return ShiftState(**made, **{name: self.deep(getattr(state, name), name) for name in rest})

    def scan(self, scan: Scan) -> Scan:
        """The scan, the same object as long as nothing of it is called otherwise."""
        moment, keys = self.moment, scan.regions or (scan.key,)
        changed = {
            "file": " + ".join(map(scan_words, keys)),
            "sha256": moment.bytes_of[scan.sha256],
            "place": self._place(scan.place),
            "doubts": tuple(map(self._doubt(keys), scan.doubts)),
            "tie": scan.tie and replace(scan.tie, source=moment.sources[scan.tie.source]),
        }
        key = ("veiled scan", id(scan), *changed.values())
        return self.once(key, lambda: replace(scan, **changed))

    def judgement(self, judged: Judgement) -> Judgement:
        """A judgement with its reason hushed."""
        return replace(judged, reason=self.hush(judged.reason))

    def deep(self, thing: Any, field: str) -> Any:
        """Anything, with every name in it called otherwise and every other word of people hushed."""
        if isinstance(thing, str):
            return self._text(thing, field)
        if isinstance(thing, Mapping):
            records = any(is_dataclass(value) for value in thing.values())
            keys = (self.hush(key) if records and isinstance(key, str) else key for key in thing)
            values = (self.deep(value, key) for key, value in thing.items())
            return dict(zip(keys, values, strict=True))
        if isinstance(thing, tuple | list):
            return type(thing)(self.deep(one, field) for one in thing)
        if is_dataclass(thing):
            return replace(
                thing, **{f.name: self.deep(getattr(thing, f.name), f.name) for f in fields(thing)}
            )
        return thing

    def _text(self, text: str, field: str) -> str:
        if field in CLOSED:
            return text
        if field not in NAMED:
            return self.hush(text)
        if field == "specimen":
            return self._specimen(text)
        return (self.names.units if field == "unit" else self.names.arms).get(text) or self.hush(text)

    def _specimen(self, name: str) -> str:
        return self.names.specimens.get(name) or self.moment.unlisted.get(name) or self.hush(name)

    def _place(self, place: Place) -> Place:
        names, name = self.names, place.specimen
        return Place(
            None if name is None else self._specimen(name),
            None if place.spot is None else self.moment.spots[name, place.spot],
            place.unit and names.units[place.unit],
            place.arm and names.arms[place.arm],
        )

    def _place_said(self, said: Mapping[str, str | None]) -> dict[str, str | None]:
        specimen, spot = said.get("specimen"), said.get("spot")
        return {
            "specimen": None if specimen is None else self._specimen(specimen),
            "spot": None if spot is None else self.moment.spots.get((specimen, spot), HIDDEN),
        }

    def _doubt(self, keys: tuple[str, ...]) -> Callable[[str], str]:
        """What a reader doubted may name the files; those of this scan by their numbers."""
        files = {self.open.arrivals[key].file: scan_words(key) for key in keys if key in self.open.arrivals}

        def told(doubt: str) -> str:
            for file in sorted(files, key=len, reverse=True):
                doubt = doubt.replace(file, files[file])
            return self.hush(doubt)

        return told

    def _arrival(self, arrival: Arrival) -> Arrival:
        name = scan_words(arrival.scan)
        copies = tuple(_copy(name, nth) for nth in range(1, len(arrival.copies) + 1))
        same = self.moment.bytes_of[arrival.sha256]
        return Arrival(
            arrival.scan, name, same, arrival.time, copies=copies, given=name, number=arrival.number
        )

    def _event(self, event: Event) -> Event:
        told = _TOLD.get(event.kind, _Curtain._other)
        return replace(event, reason=self.hush(event.reason), payload=told(self, event))

    def _other(self, event: Event) -> dict[str, Any]:
        return {key: self.deep(value, key) for key, value in event.payload.items()}

    def _nothing(self, event: Event) -> dict[str, Any]:
        """The text in force stands in the state; the words that came before it are nobody's business."""
        return {"text": ""}

    def _came(self, event: Event) -> dict[str, Any]:
        scan = next((one.scan for one in self.open.arrivals.values() if one.number == event.number), None)
        return {"scan": scan, "file": scan and scan_words(scan)}

    def _came_again(self, event: Event) -> dict[str, Any]:
        digest = event.payload.get("sha256")
        first = next((key for key, one in self.open.arrivals.items() if one.sha256 == digest), None)
        return {"first": first and scan_words(first)}

    def _placed(self, event: Event) -> dict[str, Any]:
        return {"scan": event.payload["scan"], **self._place_said(event.payload)}

    def _pumped(self, event: Event) -> dict[str, Any]:
        """Loads by number: two names that hush alike are still two loads. The log's own name tells too."""
        loads = list(dict.fromkeys(one.payload["load"] for one in self.open.pumping))
        named = f"load {loads.index(event.payload['load']) + 1}"
        return {**event.payload, "load": named, "file": None}

    def _lent(self, event: Event) -> dict[str, Any]:
        """A standard from the shelf is in no arm; it is called as one that was measured here would be."""
        told = event.payload
        return {**self._other(event), "name": self._specimen(told["name"]), "file": None, "sha256": None}

    def _tied(self, event: Event) -> dict[str, Any]:
        return {**event.payload, "source": self.moment.sources.get(event.payload["source"], HIDDEN)}

    def _looked(self, event: Event) -> dict[str, Any]:
        """A look at an arm that is none now counts as one at an earlier name of the arm."""
        told, control = event.payload, self.names.experiment.control
        treated = self.names.looked.get(told.get("treated"), "earlier")
        return {**told, "control": control and control.name, "treated": treated}

    def _drawn(self, event: Event) -> dict[str, Any]:
        """Neither the lot nor whatever it was drawn from."""
        return {"drawn": event.payload.get("drawn")}


_TOLD = {
    "experiment": _Curtain._nothing,
    "arrival": _Curtain._came,
    "duplicate": _Curtain._came_again,
    "place": _Curtain._placed,
    "tie": _Curtain._tied,
    "look": _Curtain._looked,
    "curtain": _Curtain._drawn,
    "pressure": _Curtain._pumped,
    "isolate": _Curtain._pumped,
    "standard": _Curtain._lent,
}


def _moment(names: Aliases, known: Known) -> _Moment:
    """Numbers for what only files name, in the order in which the scans came: one more scan changes none."""
    state = known.state
    of_key = {
        key: scan for some in known.scans.values() for scan in some for key in scan.regions or (scan.key,)
    }
    in_order = {id(scan): scan for key in state.arrivals if (scan := of_key.get(key))}
    kept = references_in(known.experiment)
    unlisted, spots, bytes_of, of_specimen = {}, {}, {}, {}
    numbers = count(1)
    for scan in in_order.values():
        specimen, spot = scan.place.specimen, scan.place.spot
        if specimen is not None and specimen not in names.specimens and specimen not in unlisted:
            unlisted[specimen] = specimen if specimen in kept else f"unlisted {next(numbers)}"
        if spot is not None and (specimen, spot) not in spots:
            of_specimen[specimen] = of_specimen.get(specimen, 0) + 1
            spots[specimen, spot] = str(of_specimen[specimen])
        bytes_of.setdefault(scan.sha256, " + ".join(map(scan_words, scan.regions or (scan.key,))))
    for key, arrival in state.arrivals.items():
        bytes_of.setdefault(arrival.sha256, scan_words(key))
    files = {name for one in state.arrivals.values() for name in (one.file, one.given, *one.copies)}
    stems = {name.rpartition(".")[0] for name in files}
    files |= {stem for stem in stems if len(stem) > 3 and any(sign.isdigit() for sign in stem)}
    secrets = names.hush.names | {name for name, alias in unlisted.items() if name != alias}
    hush = replace(names.hush, names=secrets, files=frozenset(files))
    return _Moment(unlisted, spots, bytes_of, _sources(state, hush), hush)


def _sources(state: ShiftState, hush: Hush) -> dict[str, str]:
    """Sources of ties, hushed; two that then read the same stay two: errors are shared by source."""
    told: dict[str, str] = {}
    for tie in state.ties:
        if tie.source not in told:
            bare = hush(tie.source)
            same = sum(other == bare or other.startswith(f"{bare} (") for other in told.values())
            told[tie.source] = f"{bare} ({same + 1})" if same else bare
    return told


def _copy(name: str, nth: int) -> str:
    return f"{name} copy" if nth == 1 else f"{name} copy {nth}"
