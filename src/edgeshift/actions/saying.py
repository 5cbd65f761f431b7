"""Hold what the group says aloud against its data, and try how easily it falls.

Every change of the tally is supposed to have been done by people: a scan set aside, a tie, another text. The
book is replayed with it, in memory, and the ordinary questions are asked. Nothing is entered, and no look
is taken: what is supposed lies in the past.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from edgeshift.actions.looking import kept_sets, look, standings, trusted
from edgeshift.actions.session import NO_EDGE, Known, Session, comparisons
from edgeshift.actions.shares import shares_of
from edgeshift.formats.experiment_text import dump_quick, load
from edgeshift.questions import here, real, say, trust
from edgeshift.questions.say import Change, Grounds, Tally
from edgeshift.recipe.experiment import EdgePlan, Experiment, Feature
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.answer import Answer
from edgeshift.records.event import Event
from edgeshift.records.identity import canonical_json
from edgeshift.records.room import Claim
from edgeshift.records.scan import Scan

Tell = Callable[[int, int], None]
"""Told how many changes were tried, of how many."""


def silent(done: int, whole: int) -> None:
    """Tells nobody."""


def say_answers(
    session: Session, known: Known, edge: str | None = None, stress: bool = False, tell: Tell = silent
) -> list[Answer]:
    """One answer to each claim that stands, the group's own and the last first; of one `edge` alone.

    No look is taken here (`looked` does). Unless `stress` is asked for, the tally is the one that was made
    of just this moment, or none.
    """
    claims = standing(known, edge)
    if not claims:
        return [say.nothing_said()]
    tallies = {claim.number: _tally(session, known, claim, stress, tell) for claim in claims}
    called = _called(known)
    return [
        say.answer(claim, grounds_of(session, known, claim), tallies[claim.number], called)
        for claim in claims
    ]


def looked(session: Session, known: Known) -> Known:
    """What is known once a look that is due was taken: a claim that compares is held against the third rung,
    and whoever sees that has looked."""
    return look(session, known) if standing(known) and _compares(known.experiment) else known


def standing(known: Known, edge: str | None = None) -> list[Claim]:
    """The claims that nobody took back or replaced; the group's before those of single seats."""
    there = [claim for claim in known.state.claims if claim.stands and edge in (None, claim.edge)]
    return sorted(there, key=lambda claim: (claim.by is not None, -claim.number))


def grounds_of(session: Session, known: Known, claim: Claim, seen: Answer | None = None) -> Grounds:
    """Every answer that bears on a claim, asked of this moment. `seen` spares asking what is here again."""
    told = trusted(session, known)
    aside = trust.set_aside(told)
    edges = [claim.edge] if claim.edge else [edge for edge in known.scans if edge != NO_EDGE]
    scans = [scan for edge in edges for scan in known.scans.get(edge, ())]
    compared = _compared(session, known, claim)
    findings = told.detail.get("findings", ())
    confounded = {
        edge
        for one in findings
        if one["code"] == "order-confounded"
        for edge in one["numbers"]["edges"].split(", ")
    }
    own = [one for one in compared if one.edge == claim.edge]
    treated = say.treated_of(claim, known.experiment)
    there = claim.edge in known.scans
    return Grounds(
        known.experiment,
        sum(scan.key not in aside for scan in scans),
        len(scans),
        seen or _seen(session, known, claim, told),
        next((one for one in own if one.detail.get("treated") in ([treated], None)), None)
        if treated
        else None,
        tuple(
            one
            for one in compared
            if one.detail.get("role") == "control" and one.detail.get("treated") == [treated]
        ),
        tuple(shares_of(session, known, claim.edge))
        if there and claim.level == say.LEVEL_OF_SHARES
        else None,
        claim.edge in confounded,
    )


def _compares(experiment: Experiment) -> bool:
    return len(experiment.arms) > 1


def _seen(session: Session, known: Known, claim: Claim, told: Answer) -> Answer | None:
    """What is here, as `ask here` says it; nothing where no scan of the claim's edge is there."""
    if claim.level == 0 or claim.edge not in known.scans:
        return None
    aside = here.excluded_for_here(told)
    passes = [p for group in session.flagged(known).values() for p in group if p.scan.key not in aside]
    key = ("seen for say", tuple(map(id, passes)), id(known.experiment))
    return session.once(key, lambda: here.answer(passes, known.experiment, None, session.memory, None))


def _compared(session: Session, known: Known, claim: Claim) -> list[Answer]:
    """The answers to "real", at the claim's edge of the claim's own feature.

    A feature that is not the one in force was chosen after looking: the whole curve judges, and what the
    feature reads is told beside it.
    """
    if claim.level < 2 and claim.edge not in known.scans or not _compares(known.experiment):
        return []
    sets = kept_sets(session, known)
    compared = comparisons(session, known, tuple(sets))
    if claim.feature is not None and claim.edge in compared:
        there, said = compared[claim.edge], Feature.model_validate(dict(claim.feature))
        if there.feature is None or _windows(there.feature) != _windows(said):
            late = replace(there, feature=said, matters=None, declared="after", matters_after=False)
            compared = {**compared, claim.edge: late}
    stand = standings(session, known, sets)
    return real.answers(sets, known.experiment, compared, session.memory, stand)


def _windows(feature: Feature) -> tuple:
    return feature.kind, feature.windows


# --- The tally ---------------------------------------------------------------------------------------


def _tally(session: Session, known: Known, claim: Claim, stress: bool, tell: Tell) -> Tally | None:
    """The tally of this moment, made once for all claims of the same kind, in whatever words.

    It is made in the open, also behind a curtain: every verdict is the same there.
    """
    bare = known.open or known
    edges = tuple(edge for edge in bare.scans if edge != NO_EDGE)
    kind = canonical_json([claim.edge, _plain(bare, claim)])
    key = ("tally", session.identity(bare, "real/say", edges), kind)
    if not stress:
        return session.memory.get(key)
    opened = next(one for one in bare.state.claims if one.number == claim.number)
    return session.once(key, lambda: stressed(session, bare, opened, tell))


def _plain(bare: Known, claim: Claim) -> dict:
    """What kind of claim it is, by true names and without its words."""
    opened = next(one for one in bare.state.claims if one.number == claim.number)
    return {
        "level": opened.level,
        "feature": opened.feature and dict(opened.feature),
        "arms": sorted(opened.arms),
        "higher": opened.higher,
        "lent": [event.payload["sha256"] for event in bare.state.events if event.kind == "standard"],
    }


def stressed(session: Session, known: Known, claim: Claim, tell: Tell = silent) -> Tally | None:
    """Try a claim under every change; None where no scan of its edge is kept. `known` is in the open."""
    now = session.supposing(known, ())
    grounds = grounds_of(*now, claim)
    if not grounds.kept or claim.edge is None:
        return None
    before = say.ladder(claim, grounds)
    scans = _kept_scans(*now, claim.edge)
    settled = kept_sets(*now)[claim.edge].recipe
    tried = say.changes(claim, known.experiment, scans, settled, _lent(known, claim.edge))
    # A claim that compares is not asked again whether its element is there: no change here undoes that.
    seen = grounds.here if claim.level > 1 else None
    outcomes = []
    for number, change in enumerate(tried, 1):
        apart, then = _supposed(session, known, change, scans, claim.edge)
        steps = say.ladder(claim, grounds_of(apart, then, claim, seen))
        outcomes.append((change, say.survived(change, before, steps, claim.level)))
        tell(number, len(tried))
    return say.tallied(outcomes)


def _kept_scans(session: Session, known: Known, edge: str) -> list[Scan]:
    there = kept_sets(session, known)[edge]
    return [each.scan for each in there.passes if each.scan.key not in there.set_aside]


def _lent(known: Known, edge: str) -> list[str]:
    """Standards from the shelf at this edge that were not measured here as well."""
    there = [e for e in known.state.events if e.kind == "standard" and e.payload["edge"] == edge]
    return list(dict.fromkeys(event.payload["name"] for event in there))


def _supposed(
    session: Session, known: Known, change: Change, scans: Sequence[Scan], edge: str
) -> tuple[Session, Known]:
    """The moment with a change made, as people would have made it."""
    without = [
        event.number
        for event in known.state.events
        if event.kind == "standard" and event.payload["name"] == change.lent
    ]
    return session.supposing(known, list(_acts(known, change, scans, edge)), without)


def _acts(known: Known, change: Change, scans: Sequence[Scan], edge: str) -> Iterator[Event]:
    """The lines that would stand in the book."""
    by_key = {scan.key: scan for scan in scans}
    if change.ev is not None:
        for key in change.scans:
            tie = by_key[key].tie
            shift, sigma, source = (tie.shift_ev, tie.sigma_ev, tie.source) if tie else (0.0, 0.0, "supposed")
            told = {"shift_ev": shift + change.ev, "sigma_ev": sigma, "source": source, "scans": [key]}
            yield _event("tie", {**told, "edge": None})
    else:
        for key in change.scans:
            first = (by_key[key].regions or (key,))[0]
            yield _event("judge", {"scan": first, "verdict": "set-aside"})
    for key, specimen in change.exchanged:
        for part in by_key[key].regions or (key,):
            yield _event("place", {"scan": part, "specimen": specimen, "spot": by_key[key].place.spot})
    text = load(known.state.experiment_text, "experiment.yaml")
    if change.arms:
        yield _event("experiment", {"text": dump_quick(_relabelled(text, dict(change.arms)))})
    if change.recipe is not None:
        yield _event("experiment", {"text": dump_quick(_with_recipe(text, edge, change.recipe))})


def _event(kind: str, payload: dict) -> Event:
    return Event(0, "", kind, "host", "supposed", payload)


def _relabelled(text: Experiment, arms: dict[str, str]) -> Experiment:
    units = (unit.model_copy(update={"arm": arms.get(unit.name, unit.arm)}) for unit in text.units)
    return text.model_copy(update={"units": tuple(units)})


def _with_recipe(text: Experiment, edge: str, recipe: Recipe) -> Experiment:
    """The text with this baseline and this stretch above at one edge, its other knobs as they are."""
    plan = text.edge_plan(edge) or EdgePlan(edge=edge)
    knobs = {**plan.recipe}
    knobs["baseline"] = {**knobs.get("baseline", {}), **recipe.baseline.model_dump(mode="json")}
    above = list(recipe.scale.above_ev)
    knobs["scale"] = {**knobs.get("scale", {}), "above_ev": above}
    changed = plan.model_copy(update={"recipe": knobs})
    others = [one for one in text.edges if one.edge != edge]
    place = next((n for n, one in enumerate(text.edges) if one.edge == edge), len(others))
    return text.model_copy(update={"edges": (*others[:place], changed, *others[place:])})


def _called(known: Known) -> dict[str, str]:
    """True names of units, arms and specimens -> what they are called behind a curtain."""
    names = known.aliases
    return {**names.specimens, **names.units, **names.arms} if names else {}
