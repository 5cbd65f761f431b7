"""What a ten-line script needs: read, reduce, compare, presence, autopsy, and an experiment held open."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from edgeshift.actions import note
from edgeshift.actions.ask import answer, ask_all, drawn
from edgeshift.actions.desk import Desk
from edgeshift.actions.looking import kept_sets
from edgeshift.actions.session import Session
from edgeshift.actions.take import Taken, take
from edgeshift.errors import QuestionRefused, Refusal, UnclearColumns, UnreadableFile, WhichEntry
from edgeshift.figures import figure_of
from edgeshift.formats.proposal import propose
from edgeshift.formats.recognise import tables
from edgeshift.questions import here, mixtures, real, trust
from edgeshift.recipe import experiment as text
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.answer import Answer
from edgeshift.records.comparison import Comparison
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.event import Event
from edgeshift.records.identity import sha256_of
from edgeshift.records.scan import Place, Scan
from edgeshift.records.shift_state import DeclaredTie
from edgeshift.reduction.edge_of_scan import with_edge
from edgeshift.reduction.pipeline import flagged, formed, reduce_edge
from edgeshift.reduction.steps.columns import place_from, scan_from_table


class Experiment:
    """An experiment folder held open; the same questions as on the command line.

    >>> with Experiment("riverbank") as shift:
    ...     for each in shift.ask("real"):
    ...         print(each.edge, each.verdict)
    """

    def __init__(self, path: str | Path) -> None:
        self._desk = Desk()
        loaded = self._desk.load(path)
        self.folder, self.complaint = loaded.folder, loaded.complaint
        self.session = Session(self.folder, self._desk)

    def __enter__(self) -> Experiment:
        return self

    def __exit__(self, *_: object) -> None:
        self.folder.close()

    def take(self, paths: Iterable[str | Path]) -> tuple[Taken, ...]:
        """Take raw files in; a bad one is refused in its own record and never stops the next."""
        return take(self.folder, [(Path(p).name, Path(p).read_bytes) for p in paths], self._desk)

    def ask(
        self,
        question: str,
        edge: str | None = None,
        compare: tuple[str, str] | None = None,
        **options: Any,
    ) -> list[Answer]:
        """The answers, each with its figure; they show themselves in a notebook.

        `edge` narrows to one edge; `compare` names two scans and asks why they differ (question `trust`);
        `against`, `shares`, `specimen` and `left` as on the command line.
        """
        return drawn(answer(self.session, question, edge, compare, **options))

    def judge(self, scan: str, verdict: str, *, role: str, reason: str) -> Event:
        """Keep a scan, keep it with a note, set it aside, or undo the last judgement of it."""
        return note.judge(self.folder, self._desk, note.Who(role, reason), scan, verdict)

    def declare(
        self, edge: str, feature: Mapping, matters: float | None = None, *, role: str, reason: str
    ) -> Event:
        """Name the one number that will be compared at an edge: {"kind", "windows"[, "words"]}."""
        return note.declare(self.folder, self._desk, note.Who(role, reason), edge, feature, matters)

    def place(self, scan: str, specimen: str, spot: str | None = None, *, role: str, reason: str) -> Event:
        """Say where a scan was measured."""
        return note.place(self.folder, self._desk, note.Who(role, reason), scan, specimen, spot)

    def tie(self, shift: DeclaredTie, *, role: str, reason: str) -> Event:
        """Tie energies to a known peak, for an edge or for some scans; 0 eV takes it back."""
        return note.tie(self.folder, self._desk, note.Who(role, reason), shift)

    def write(self, text: str, *, role: str, reason: str = "") -> Event:
        """Keep a note in people's own words."""
        return note.write(self.folder, self._desk, note.Who(role, reason), text)

    def save(self) -> list[Answer]:
        """Ask everything that can be asked and bring `results/` up to date; returns the answers."""
        return ask_all(self.session)

    def spectra(self, edge: str) -> EdgeSet:
        """The reduced spectra of one edge, without the scans set aside."""
        known = self.session.known()
        if edge not in known.scans:
            raise QuestionRefused(
                f"edge {edge}", "an edge that was scanned", ", ".join(known.scans), "Name one."
            )
        return kept_sets(self.session, known)[edge]


def read(
    path: str | Path,
    profile: BeamlineProfile | Mapping | None = None,
    entry: str | None = None,
    edge: str | None = None,
) -> Scan:
    """One raw file as a scan. Without a profile the columns must be beyond doubt; `edge` as "Al K".

    Raises UnreadableFile, NotAScan, UnclearColumns or WhichEntry, each saying what to do next.
    """
    path = Path(path)
    try:
        data = path.read_bytes()
    except OSError as trouble:
        raise UnreadableFile(str(path), "a file", trouble.strerror or "none", "Check the name.") from None
    found = tables(path.name, data)
    chosen = [t for t in found if entry in (None, t.entry)]
    if len(chosen) != 1:
        names = ", ".join(str(t.entry) for t in found)
        raise WhichEntry(path.name, "one entry", names, "Name it with entry=.")
    if profile is None:
        proposal = propose(chosen[0])
        if not proposal.certain:
            raise UnclearColumns(
                path.name, "columns beyond doubt", "; ".join(proposal.doubts), "Give a profile."
            )
        profile = proposal.profile
    profile = BeamlineProfile.model_validate(profile)
    # Two files of one name are two scans, so part of the hash goes into the key.
    sha256 = sha256_of(data)
    key = f"{path.stem}-{sha256[:6]}"
    scan = scan_from_table(chosen[0], profile, key, sha256, place_from(chosen[0], profile))
    return replace(scan, edge=edge) if edge else with_edge(scan, text.Experiment())


def reduce(scans: Sequence[Scan], recipe: Recipe | None = None) -> EdgeSet:
    """Scans of one edge to spectra; each scan without a specimen counts as a spot of its own.

    Raises QuestionRefused for scans of several edges or of none that is known.
    """
    edge, recipe = _one_edge("reduce", scans), recipe or Recipe()
    return reduce_edge(edge, flagged(scans, recipe), recipe, frozenset())


def compare(
    control: Mapping[str, Sequence[Scan]],
    treated: Mapping[str, Sequence[Scan]],
    *,
    feature: text.Feature | Mapping | None = None,
    paired: bool = False,
    recipe: Recipe | None = None,
) -> Answer:
    """Is the difference real? `control` and `treated` map each unit's name to its scans.

    Scans of a unit with different `place.spot` are spots; with equal ones, repeats. `paired` takes units
    of both arms in order. A feature given here counts as found after looking.
    """
    arms = {"control": control, "treated": treated}
    names = {arm: [f"{arm} {unit}" for unit in units] for arm, units in arms.items()}
    pair = {name: str(n) if paired else None for listed in names.values() for n, name in enumerate(listed)}
    experiment = text.Experiment.model_validate(
        {
            "arms": [{"name": "control", "control": True}, {"name": "treated"}],
            "units": [
                {"name": u, "arm": arm, "pair": pair[u]} for arm, listed in names.items() for u in listed
            ],
            "specimens": [{"name": u, "unit": u} for listed in names.values() for u in listed],
        }
    )
    scans = [
        replace(scan, key=f"{name}/{n}", place=Place(name, scan.place.spot or str(n), name, arm))
        for arm, units in arms.items()
        for name, listed in zip(names[arm], units.values(), strict=True)
        for n, scan in enumerate(listed)
    ]
    edge_set = reduce(scans, recipe)
    chosen = text.Feature.model_validate(feature) if feature is not None else None
    found = real.answers(
        {edge_set.edge: edge_set}, experiment, {edge_set.edge: Comparison(edge_set.edge, chosen)}
    )
    return replace(found[0], figure=figure_of(found[0]))


def presence(
    scans: Sequence[Scan],
    *,
    blanks: Sequence[str] = (),
    edge: str | None = None,
    recipe: Recipe | None = None,
) -> Answer:
    """What have we got here? Each element seen, not seen with its limit, or cannot tell and why.

    Scans are grouped by their specimen; `blanks` names those that are bare tape, foil or holder.
    """
    specimens = [{"name": name, "kind": "blank"} for name in blanks]
    experiment = text.Experiment.model_validate({"specimens": specimens})
    passes = [each for scan in scans for each in flagged([scan], recipe or Recipe())]
    found = here.answer(passes, experiment, edge)
    return replace(found, figure=figure_of(found))


def shares(
    scans: Sequence[Scan],
    references: Mapping[str, Sequence[Scan]],
    *,
    slides_ev: Mapping[str, float] | None = None,
    recipe: Recipe | None = None,
) -> Answer:
    """What form is it in? Shares of the references in one specimen, with the fan of equally good fits.

    All scans are of one edge. `slides_ev` says of a reference how well its energies are tied to the scans'
    axis (one standard deviation); else the recipe's `shares.slide_ev` holds. Raises QuestionRefused for
    scans of several edges or of none that is known, and for references that are too short.
    """
    recipe, ties = recipe or Recipe(), slides_ev or {}
    every = [*scans, *(scan for some in references.values() for scan in some)]
    edge = _one_edge("shares", every)
    kept = [
        mixtures.Reference(name, flagged(_named(some, name), recipe), ties.get(name))
        for name, some in references.items()
    ]
    own = next((scan.place.specimen for scan in scans if scan.place.specimen), "specimen")
    found = mixtures.answer(edge, own, flagged(_named(scans, own), recipe), kept, recipe)
    return replace(found, figure=figure_of(found))


def _named(scans: Sequence[Scan], name: str) -> list[Scan]:
    return [replace(scan, place=replace(scan.place, specimen=name)) for scan in scans]


def _one_edge(what: str, scans: Sequence[Scan]) -> str:
    edges = sorted({str(scan.edge) for scan in scans})
    if len(edges) != 1 or edges == ["None"]:
        raise QuestionRefused(what, "scans of one known edge", ", ".join(edges) or "no scan", "Choose one.")
    return edges[0]


def autopsy(first: Scan, second: Scan, recipe: Recipe | None = None) -> Answer:
    """Why two scans differ: gain, offset, slope, slide, blur and what is left, each with its give-or-take."""
    recipe = recipe or Recipe()
    made = formed(flagged([first, second], recipe), recipe)
    found = trust.compare(*(each.curve for each in made), passes=made)
    return replace(found, figure=figure_of(found))


__all__ = [
    "Answer",
    "Experiment",
    "Recipe",
    "Refusal",
    "autopsy",
    "compare",
    "presence",
    "read",
    "reduce",
    "shares",
]
