"""An experiment folder held open: what is known, what was reduced, and nothing computed twice.

Every result is remembered under the identity of what went into it, so a file that lands costs only what
it changes.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from edgeshift import __version__
from edgeshift.actions.aliases import Aliases
from edgeshift.actions.desk import Desk
from edgeshift.actions.veil import veiled
from edgeshift.errors import Refusal
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.formats.experiment_text import load
from edgeshift.formats.recognise import tables
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import EdgePlan, Experiment, Feature
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.event import Event
from edgeshift.records.identity import canonical_json, digest
from edgeshift.records.once import Once, Recent
from edgeshift.records.scan import Place, Scan, Tie
from edgeshift.records.shift_state import Arrival, Judgement, ShiftState, replay
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.edge_of_scan import with_edge
from edgeshift.reduction.pipeline import flagged, reduce_edge
from edgeshift.reduction.regions import regions_joined
from edgeshift.reduction.steps.columns import place_from, scan_from_table

NO_EDGE = "no known edge"
MOMENTS = 64
"""Moments of the shift that are remembered: each act makes a new one, and a page that is rewound others."""
BEARING = ("judge", "declare", "place", "tie", "experiment")
"""Kinds of event that any answer rests on, beside the raw bytes themselves."""
ALSO_BEARING = {
    "begin": ("pressure", "isolate", "position"),
    "here": ("standard",),
    "real": ("look",),
    "minutes": ("look", "decide"),
    "say": ("look", "standard", "claim"),
}
"""And those that only the answers to one question rest on."""


@dataclass(frozen=True)
class Known:
    """One moment of the shift, with the scans it holds: everything an answer may rest on.

    `state` has judgements for joined scans too; `judged` are those that people gave, file by file. Behind a
    curtain `open` is the same moment in the open, and `aliases` say what everything is called here.
    """

    state: ShiftState
    experiment: Experiment
    scans: Mapping[str, tuple[Scan, ...]]
    judged: Mapping[str, Judgement]
    open: Known | None = None
    aliases: Aliases | None = None


class Session:
    """The folder, and a memory of what was already computed from it.

    Remembered scans, passes and texts are never forgotten while the session lives, so their `id` is a sound
    key in `memory`. What belongs to one moment is forgotten with it: a shift has as many moments as acts.
    """

    def __init__(self, folder: ExperimentFolder, desk: Desk | None = None) -> None:
        self.folder = folder
        self.now = (desk or Desk()).now
        self.memory: dict[tuple, Any] = {}
        self.once = Once(self.memory)
        self._events: tuple[Event, ...] = ()
        self._moments, self._of_moments = Recent(MOMENTS), Recent(MOMENTS)

    def known(self, until: str | None = None) -> Known:
        """What was known at `until` (None: now)."""
        self._events += self.folder.book.read(after=self.read_up_to)
        return self._moments((until, len(self._events)), lambda: self._replayed(until))

    def of(self, known: Known) -> Once:
        """The memory of what was made of one moment."""
        return self._of_moments(id(known), lambda: (known, Once({})))[1]

    def veiled(self, known: Known, lot: tuple[str, ...]) -> Known:
        """The same moment behind a curtain."""
        return self.of(known)(("veiled", lot), lambda: veiled(known, lot, self.once))

    def now_as(self, known: Known) -> Known:
        """What is known now, behind the same curtain as `known`, or in the open as it is."""
        now = self.known()
        return self.veiled(now, known.aliases.lot) if known.aliases else now

    @property
    def read_up_to(self) -> int:
        """The number of the last line of the book that was read."""
        return self._events[-1].number if self._events else 0

    def as_of(self, known: Known, number: int) -> Known:
        """The same with the scans that had arrived by this line of the book, under all present decisions."""
        if known.open:
            return veiled(self.as_of(known.open, number), known.aliases.lot, self.once)
        arrived = {scan: one for scan, one in known.state.arrivals.items() if one.number <= number}
        return self.read(replace(known.state, arrivals=arrived, judgements=known.judged))

    def supposing(
        self, known: Known, events: Sequence[Event], without: Collection[int] = ()
    ) -> tuple[Session, Known]:
        """The moment `known`, in the open, had these things been done too and the lines `without` never.

        Nothing is entered in the book: what is supposed lies in the past, as a rewound moment does, and so
        takes no look. It is read by a session of its own, which knows all that is remembered here and is
        forgotten with whatever it found.
        """
        state = (known.open or known).state
        apart = Session(self.folder)
        apart.now, apart._events = self.now, self._events
        apart.memory.update(self.memory)
        last = state.events[-1]
        kept = [event for event in state.events if event.number not in without]
        later = [
            replace(event, number=last.number + nth, time=last.time) for nth, event in enumerate(events, 1)
        ]
        supposed = replace(replay([*kept, *later]), until=state.until or last.time)
        return apart, apart.read(supposed)

    def _replayed(self, until: str | None) -> Known:
        return self.read(replay(self._events, until))

    def read(self, state: ShiftState) -> Known:
        """A state with its scans, read as its experiment text has them."""
        experiment = self._in_force(state)
        self.once(("text", id(experiment)), lambda: experiment)
        read = [self._scan(arrival, state, experiment) for arrival in state.arrivals.values()]
        key = ("joined", tuple(map(id, read)), id(experiment))
        joined = self.once(key, lambda: regions_joined(read, experiment))
        by_edge: dict[str, list[Scan]] = {}
        for scan in joined:
            scan = self._of_edge(scan, state, experiment)
            by_edge.setdefault(scan.edge or NO_EDGE, []).append(scan)
        scans = {edge: tuple(found) for edge, found in by_edge.items()}
        whole = replace(state, judgements=_of_joined(joined, state))
        return Known(whole, experiment, scans, state.judgements)

    def _in_force(self, state: ShiftState) -> Experiment:
        """The accepted text with the features that people declared since laid over it."""
        experiment = load(state.experiment_text, "experiment.yaml")
        edges = {plan.edge: plan for plan in experiment.edges}
        for edge in dict.fromkeys(each.edge for each in state.declarations):
            feature, matters, *_ = _named(edge, state)
            plan = edges.get(edge, EdgePlan(edge=edge))
            edges[edge] = plan.model_copy(update={"feature": feature, "matters": matters})
        if tuple(edges.values()) == experiment.edges:
            return experiment
        key = ("in force", state.experiment_text, tuple((e, p.feature, p.matters) for e, p in edges.items()))
        return self.once(key, lambda: experiment.model_copy(update={"edges": tuple(edges.values())}))

    def flagged(self, known: Known) -> dict[str, tuple[Pass, ...]]:
        """Every scan's rates and flags, by edge."""
        return {edge: self._flagged(edge, scans, known.experiment) for edge, scans in known.scans.items()}

    def edge_sets(self, known: Known, set_aside: frozenset[str]) -> dict[str, EdgeSet]:
        """Every known edge reduced without the scans set aside."""
        given_up = {key for key, said in known.state.judgements.items() if said.verdict == "set-aside"}
        return {
            edge: self._edge_set(edge, passes, known.experiment, set_aside, given_up)
            for edge, passes in self.flagged(known).items()
            if edge != NO_EDGE
        }

    def identity(self, known: Known, question: str, edges: tuple[str, ...]) -> str:
        """What an answer stands on: raw bytes, accepted text, recipe, the events that bear on it, version.

        Behind a curtain it stands on the same, and on there being one. The lot takes no part: two lots are
        soon tried by whoever saw the identity in the open.
        """
        if known.open:
            return digest("behind a curtain", self.identity(known.open, question, edges))
        asked = question.split("/")[0]
        common = self.of(known)(("bearing", asked), lambda: _bearing(known, asked))
        arrivals = {scan.key: scan.sha256 for edge in edges for scan in known.scans.get(edge, ())}
        recipes = self.once(("recipes", id(known.experiment), edges), lambda: _recipes(known, edges))
        return digest(common, canonical_json(arrivals), recipes, question)

    def _scan(self, arrival: Arrival, state: ShiftState, experiment: Experiment) -> Scan:
        """Read once under each beamline profile; what the text says of units and arms is laid over it."""
        place = state.places.get(arrival.scan)
        columns = self.once(
            ("columns", state.experiment_text),
            lambda: canonical_json(experiment.beamline.model_dump(mode="json")),
        )
        key = ("scan", arrival.scan, arrival.sha256, canonical_json(place), columns)
        scan = self.once(key, lambda: self._read(arrival, place, experiment))
        where = _in_arm(scan.place, experiment)
        return self.once(("in arm", id(scan), where), lambda: replace(scan, place=where))

    def _of_edge(self, scan: Scan, state: ShiftState, experiment: Experiment) -> Scan:
        """The scan with its edge and its declared tie."""
        found = self.once(("edge of", id(scan), id(experiment)), lambda: (scan, with_edge(scan, experiment)))[
            1
        ]
        # Under another text a scan mostly stays what it was, and with it all that was made of it.
        same = ("of edge", id(scan), found.edge, found.doubts)
        scan = self.once(same, lambda: (scan, found))[1]
        tie = _tie_for(scan, state)
        return self.once(("tied", id(scan), tie), lambda: replace(scan, tie=tie)) if tie else scan

    def _read(self, arrival: Arrival, place: Mapping | None, experiment: Experiment) -> Scan:
        profile = BeamlineProfile.model_validate(arrival.profile or experiment.beamline.model_dump())
        found = self.once(
            ("tables", arrival.sha256),
            lambda: tables(arrival.given, self.folder.raw_bytes(arrival.sha256)),
        )
        table = next((t for t in found if t.entry == arrival.entry), found[0])
        where = place_from(table, profile)
        if place:
            where = replace(where, **{part: said for part, said in place.items() if said is not None})
        # Several entries of one file share its bytes; each is a scan with a name of its own.
        entry = f"#{arrival.entry}" if arrival.entry is not None and len(found) > 1 else ""
        scan = scan_from_table(table, profile, arrival.scan, f"{arrival.sha256}{entry}", where)
        return replace(scan, file=f"{arrival.file}{entry}")

    def _flagged(self, edge: str, scans: tuple[Scan, ...], experiment: Experiment) -> tuple[Pass, ...]:
        """Flags are found among one specimen's scans, so only that specimen is done again."""
        recipe = self.recipe(experiment, edge)
        groups: dict[str | None, list[Scan]] = {}
        for scan in scans:
            groups.setdefault(scan.place.specimen, []).append(scan)
        done = {
            each.scan.key: self.once(
                ("pass", id(each.scan), id(recipe), each.flags.tobytes()), lambda each=each: each
            )
            for group in groups.values()
            for each in self.once(
                ("flagged", id(recipe), tuple(map(id, group))), lambda group=group: flagged(group, recipe)
            )
        }
        return tuple(done[scan.key] for scan in scans)

    def _edge_set(
        self,
        edge: str,
        passes: tuple[Pass, ...],
        experiment: Experiment,
        aside: frozenset[str],
        given_up: set,
    ) -> EdgeSet:
        recipe = self.recipe(experiment, edge)
        here = aside & {each.scan.key for each in passes}
        key = ("edge", edge, tuple(map(id, passes)), here, id(recipe))
        made = self.once(key, lambda: reduce_edge(edge, passes, recipe, here, self.memory))
        gone = here & given_up
        return self.once((*key, gone), lambda: replace(made, given_up=gone)) if gone else made

    def recipe(self, experiment: Experiment, edge: str) -> Recipe:
        """The recipe in force at an edge; equal ones are the same."""

        def made() -> tuple[Experiment, Recipe]:
            recipe = experiment.recipe_for(edge)
            return experiment, self.once(("same recipe", recipe), lambda: recipe)

        return self.once(("recipe", id(experiment), edge), made)[1]


def comparisons(session: Session, known: Known, edges: tuple[str, ...]) -> dict[str, Comparison]:
    """For each edge the feature in force and whether it was named before the edge's first scan arrived.

    A feature counts from the first moment at which it stood in the book unchanged, by `declare` or in the
    experiment text. That is read in the open: hidden words look unchanged sooner.
    """
    if known.open:
        found = comparisons(session, known.open, edges)
        plans = {edge: known.experiment.edge_plan(edge) for edge in edges}
        return {
            edge: replace(one, feature=plans[edge].feature) if one.feature else one
            for edge, one in found.items()
        }
    return session.of(known)(
        ("comparisons", edges), lambda: {edge: _comparison(edge, known) for edge in edges}
    )


def _comparison(edge: str, known: Known) -> Comparison:
    plan = known.experiment.edge_plan(edge)
    role = plan.role if plan else "family"
    feature, matters, since, matters_since = _named(edge, known.state)
    if feature is None:
        return Comparison(edge, role=role)
    first = min(known.state.arrivals[scan.key].number for scan in known.scans[edge])
    late = matters is not None and matters_since > first
    return Comparison(edge, feature, matters, "before" if since < first else "after", role, late)


def _named(edge: str, state: ShiftState) -> tuple[Feature | None, float | None, int, int]:
    """The feature in force, the difference that matters, and the events since which the feature, and what
    matters of it, stand unchanged.

    A text that says the same of this edge as the text before it says nothing new, so what a person declared
    in between stays in force; one that changes or drops the feature takes it over.
    """
    nothing: tuple[Feature | None, float | None] = (None, None)
    in_force, in_text, since, matters_since = nothing, nothing, 0, 0
    for event in state.events:
        said = in_force
        if event.kind == "declare" and event.payload.get("edge") == edge:
            said = Feature.model_validate(event.payload["feature"]), event.payload.get("matters")
        elif event.kind == "experiment":
            before, in_text = in_text, _in_text(edge, event.payload["text"])
            said = in_text if in_text != before else in_force
        if said != in_force:
            since = since if said[0] == in_force[0] else event.number
            in_force, matters_since = said, event.number
    return *in_force, since, matters_since


def _in_text(edge: str, text: str) -> tuple[Feature | None, float | None]:
    try:
        plan = load(text, "experiment.yaml").edge_plan(edge)
    except Refusal:  # an old text, accepted by an older version, names nothing that we could compare
        return None, None
    return (plan.feature, plan.matters) if plan and plan.feature else (None, None)


def _bearing(known: Known, question: str) -> str:
    """The experiment text, the events that bear on an answer, and our version, as one text."""
    kinds = (*BEARING, *ALSO_BEARING.get(question, ()))
    events = [[e.number, e.kind, dict(e.payload)] for e in known.state.events if e.kind in kinds]
    return canonical_json([__version__, known.state.experiment_text, events])


def _recipes(known: Known, edges: tuple[str, ...]) -> str:
    return canonical_json({edge: known.experiment.recipe_for(edge).model_dump(mode="json") for edge in edges})


def _of_joined(scans: list[Scan], state: ShiftState) -> dict[str, Judgement]:
    """Judgements by scan; one of any region holds for the scan that was joined from it."""
    judged = dict(state.judgements)
    for scan in scans:
        for region in scan.regions:
            if region in state.judgements:
                judged[scan.key] = state.judgements[region]
    return judged


def _tie_for(scan: Scan, state: ShiftState) -> Tie | None:
    """The last tie that a person declared for this scan or for its edge."""
    keys = {scan.key, *scan.regions}
    mine = [tie for tie in state.ties if keys & set(tie.scans) or (tie.edge and tie.edge == scan.edge)]
    return Tie(mine[-1].shift_ev, mine[-1].sigma_ev, mine[-1].source) if mine else None


def _in_arm(place: Place, experiment: Experiment) -> Place:
    """The place with its unit and arm, as the experiment text has them."""
    specimen = next((s for s in experiment.specimens if s.name == place.specimen), None)
    unit = next((u for u in experiment.units if specimen and u.name == specimen.unit), None)
    return replace(place, unit=unit.name if unit else None, arm=unit.arm if unit else None)
