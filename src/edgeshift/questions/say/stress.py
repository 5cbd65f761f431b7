"""How a claim might fall: every change that it is tried under, named, and the tally of those it survived.

A change says only what to do; whoever holds the folder makes it and asks everything anew, the same way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from edgeshift.questions.say.grounds import treated_of
from edgeshift.questions.say.ladder import Step, carries, missing
from edgeshift.recipe.experiment import Experiment, Unit
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.identity import digest
from edgeshift.records.room import Claim
from edgeshift.records.scan import Scan
from edgeshift.reduction.choices import sane_choices

SLIDE_EV = 0.1
"""Energies slide so far either way: it fakes a quarter of an edge step at iron (measured in practice)."""
MOST_SHUFFLES = 10
"""More ways to exchange labels are tried by lot."""
LEVEL_OF_UNITS, LEVEL_OF_SHARES = 3, 4
KINDS = ("unit", "scan", "slide", "baseline", "reference", "shuffle")


@dataclass(frozen=True)
class Change:
    """One thing done otherwise. `scans` are set aside, or slide by `ev`, or lie in `exchanged` specimens
    (scan key -> specimen); `arms` gives units another arm; `recipe` is the edge's; `what` names what was left
    out or changed, by its true name.
    """

    kind: str
    what: str
    scans: tuple[str, ...] = ()
    ev: float | None = None
    recipe: Recipe | None = None
    arms: tuple[tuple[str, str], ...] = ()
    exchanged: tuple[tuple[str, str], ...] = ()
    lent: str | None = None

    @property
    def denies(self) -> bool:
        """Whether a true claim must fall under it."""
        return self.kind == "shuffle"


@dataclass(frozen=True)
class Tally:
    """How many changes of each kind were tried, and those under which the claim was no longer carried."""

    tried: Mapping[str, int]
    lost: tuple[Change, ...]

    @property
    def kept(self) -> dict[str, int]:
        """Survived, by kind."""
        gone = Counter(one.kind for one in self.lost)
        return {kind: count - gone[kind] for kind, count in self.tried.items()}

    @property
    def whole(self) -> tuple[int, int]:
        """(survived, tried) of all."""
        return sum(self.kept.values()), sum(self.tried.values())


def changes(
    claim: Claim,
    experiment: Experiment,
    scans: Sequence[Scan],
    settled: Recipe | None,
    lent: Sequence[str] = (),
) -> list[Change]:
    """All that a claim is tried under, by kind, in one order.

    `scans` are the kept ones at its edge, `settled` the recipe there with its empty knobs filled, `lent` the
    names of standards lent by the shelf. What a level does not rest on is not changed: a claim of level 0 or
    1 has no arms to exchange and no baseline.
    """
    arms = _arms(claim, experiment)
    mine = [scan for scan in scans if arms is None or scan.place.arm in arms]
    found = [*_units(claim, experiment, mine), *_scans(mine), *_slides(claim, mine, arms)]
    if claim.level >= 2 and settled is not None:
        found += [
            Change("baseline", str(nth), recipe=one) for nth, one in enumerate(sane_choices(settled), 1)
        ]
    if claim.level == LEVEL_OF_SHARES:
        found += _references(experiment, scans, lent)
    if claim.level >= LEVEL_OF_UNITS and arms:
        found += _relabelled(experiment, {scan.place.unit for scan in mine}, arms)
    elif claim.level == 2 and arms:
        found += _exchanged(mine, arms)
    return found


def tallied(outcomes: Sequence[tuple[Change, bool]]) -> Tally:
    """The tally of (change, survived)."""
    tried = Counter(one.kind for one, _ in outcomes)
    return Tally(
        {kind: tried[kind] for kind in KINDS if tried[kind]}, tuple(o for o, kept in outcomes if not kept)
    )


def _arms(claim: Claim, experiment: Experiment) -> tuple[str, str] | None:
    """(control, treated) that the claim compares; None for one that compares nothing."""
    treated = treated_of(claim, experiment) if claim.level >= 2 else None
    return (experiment.control.name, treated) if treated else None


def _units(claim: Claim, experiment: Experiment, scans: Sequence[Scan]) -> Iterator[Change]:
    """Each unit left out: a batch whole, a pair with both its halves, for one half alone counts nowhere.

    One that stands alone in its arm is the claim itself.
    """
    known = {unit.name: unit for unit in experiment.units}
    there = {scan.place.unit for scan in scans} & known.keys()
    paired = claim.level >= 2 and all(known[name].pair and not known[name].batch for name in there)
    left_out: dict[str, list[Scan]] = {}
    for scan in scans:
        if scan.place.unit in there:
            unit = known[scan.place.unit]
            left_out.setdefault(unit.pair if paired else unit.batch or unit.name, []).append(scan)
    arms = Counter(arm for some in left_out.values() for arm in {scan.place.arm for scan in some})
    for some in left_out.values():
        if claim.level < 2 or all(arms[scan.place.arm] > 1 for scan in some):
            name = min(scan.place.unit for scan in some)
            yield Change("unit", name, tuple(scan.key for scan in some))


def _scans(scans: Sequence[Scan]) -> Iterator[Change]:
    """Each scan set aside; the only one is the claim itself."""
    if len(scans) > 1:
        yield from (Change("scan", scan.key, (scan.key,)) for scan in scans)


def _slides(claim: Claim, scans: Sequence[Scan], arms: tuple[str, str] | None) -> Iterator[Change]:
    """All energies, and those of each arm alone: a scale that moves between the arms poses as a change."""
    every = tuple(scan.key for scan in scans)
    for ev in (SLIDE_EV, -SLIDE_EV):
        yield Change("slide", "", every, ev)
    for arm in arms or ():
        own = tuple(scan.key for scan in scans if scan.place.arm == arm)
        yield Change("slide", arm, own, SLIDE_EV)


def _references(experiment: Experiment, scans: Sequence[Scan], lent: Sequence[str]) -> Iterator[Change]:
    """Each reference left out."""
    standards = [one.name for one in experiment.specimens if one.kind == "standard"]
    for name in standards:
        keys = tuple(scan.key for scan in scans if scan.place.specimen == name)
        if keys:
            yield Change("reference", name, keys)
    yield from (Change("reference", name, lent=name) for name in lent)


def _relabelled(experiment: Experiment, measured: set, arms: tuple[str, str]) -> list[Change]:
    """Units under exchanged arms: whole batches, and of a pair always both."""
    groups: dict[str, list[Unit]] = {}
    for unit in experiment.units:
        if unit.arm in arms and unit.name in measured:
            groups.setdefault(unit.batch or unit.name, []).append(unit)
    paired = all(unit.pair and not unit.batch for some in groups.values() for unit in some)
    found = _flips(groups, arms) if paired else _splits(groups, arms)
    found.sort(key=lambda one: digest(*(name for name, _ in one.arms)))
    return found[:MOST_SHUFFLES]


def _flips(groups: Mapping[str, list[Unit]], arms: tuple[str, str]) -> list[Change]:
    """Some pairs exchanged, never the first one: that would only be the mirror."""
    units = [some[0] for some in groups.values()]
    pairs = list(dict.fromkeys(unit.pair for unit in units))
    other = {arms[0]: arms[1], arms[1]: arms[0]}
    sets = (some for size in range(1, len(pairs)) for some in combinations(pairs[1:], size))
    return [
        Change("shuffle", "", arms=tuple((u.name, other[u.arm]) for u in units if u.pair in some))
        for some in sets
    ]


def _splits(groups: Mapping[str, list[Unit]], arms: tuple[str, str]) -> list[Change]:
    """Every other way to give as many units each label; the first one keeps its own, or all is the mirror."""
    names = sorted(groups)
    first = groups[names[0]][0].arm if names else arms[0]
    second = arms[0] if first == arms[1] else arms[1]
    own = {name for name in names if groups[name][0].arm == first}
    found = []
    for rest in combinations(names[1:], max(len(own) - 1, 0)):
        there = {*names[:1], *rest}
        moved = {name: first if name in there else second for name in names}
        changed = [(u.name, moved[name]) for name in names for u in groups[name] if u.arm != moved[name]]
        if changed:
            found.append(Change("shuffle", "", arms=tuple(changed)))
    return found


def _exchanged(scans: Sequence[Scan], arms: tuple[str, str]) -> list[Change]:
    """Every second scan of one arm in the place of one of the other, and the other way round."""
    first, second = ([scan for scan in scans if scan.place.arm == arm] for arm in sorted(arms))
    both = list(zip(first, second, strict=False))[1::2]
    moved = [(a.key, b.place.specimen) for a, b in both] + [(b.key, a.place.specimen) for a, b in both]
    return [Change("shuffle", "", exchanged=tuple(sorted(moved)))] if moved else []


def survived(change: Change, before: tuple[Step, ...], then: tuple[Step, ...], asked: int) -> bool:
    """Whether a claim of level `asked` stands under a change, from its ladders before and then.

    What was read from measurements is read anew; what only counts the design (units, references, a control)
    is counted once, before: leaving a unit out always leaves fewer. Under exchanged labels a claim must fall
    that stood before: it stands if it does.
    """
    if change.denies:
        return carries(before, asked) and not carries(then, asked, design=False)
    designed = all(need.state == "met" for _, need in missing(before, asked) if need.design)
    return designed and carries(then, asked, design=False)


def as_told(tally: Tally, called: Mapping[str, str]) -> dict[str, Any]:
    """What the answer holds of a tally; `called` are names behind a curtain."""
    kept, tried = tally.whole
    named = [(KINDS.index(one.kind), called.get(one.what, one.what), one) for one in tally.lost]
    lost = [
        {"kind": one.kind, "what": what, "ev": one.ev} for _, what, one in sorted(named, key=lambda n: n[:2])
    ]
    kinds = {kind: {"kept": tally.kept[kind], "tried": count} for kind, count in tally.tried.items()}
    return {"kept": kept, "tried": tried, "kinds": kinds, "lost": lost}
