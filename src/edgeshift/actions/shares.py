"""Ask in what form something is there: shares of the references that the experiment holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from edgeshift.actions.looking import kept_sets
from edgeshift.actions.session import Known, Session
from edgeshift.actions.shelf import as_passes, lent
from edgeshift.errors import QuestionRefused
from edgeshift.questions import mixtures
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.answer import Answer, Fact
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.identity import digest
from edgeshift.records.spectrum import Pass
from edgeshift.wording import mixtures as words
from edgeshift.wording.names import HOW_TO_PLACE


def shares_of(session: Session, known: Known, edge: str, specimen: str | None = None) -> list[Answer]:
    """One answer to `here` for each specimen at `edge`, or for one. Nothing is written.

    References are the specimens of kind standard that were scanned at this edge, and those lent from the
    shelf. Raises QuestionRefused for a specimen that was not scanned there, or whose scans are set aside.
    """
    sets = kept_sets(session, known)
    by_specimen = _kept(sets[edge])
    wanted = everyone = _specimens(known, by_specimen)
    if specimen is not None:
        if specimen not in by_specimen:
            found = ", ".join(by_specimen) or "none"
            needed = f"one scanned at {edge} and not set aside"
            raise QuestionRefused(f"specimen {specimen}", needed, found, "Name one of these, or judge: keep.")
        wanted = [specimen]
    if not wanted:
        raise _nobody(edge, sets[edge], by_specimen)
    recipe = session.recipe(known.experiment, edge)
    references = _references(session, known, edge, by_specimen, recipe)
    spots = [spot for spot in sets[edge].spots if spot.place.specimen in everyone]
    kinds_of = mixtures.variety(spots, recipe.shares.height)
    unused = _unused(sets[edge], {each.name: each.kind for each in known.experiment.specimens})
    acts = (words.KEEP_THEM,) if unused else ()
    found = []
    for name in wanted:
        others = [each for each in references if each.name != name or each.shelf]
        one = session.once(
            ("shares", edge, name, tuple(map(id, by_specimen[name])), tuple(map(_mark, others)), id(recipe)),
            lambda name=name, others=others: (
                others,  # kept, so that the ids of their passes stay theirs
                mixtures.answer(edge, name, by_specimen[name], others, recipe),
            ),
        )[1]
        one = replace(
            one,
            because=(*one.because, *kinds_of),
            would_change_it=(*acts, *one.would_change_it),
            cautions=(*unused, *one.cautions, *_too_few(one, kinds_of)),
        )
        found.append(_signed(session, known, edge, name, one))
    return found


def _specimens(known: Known, names: Iterable[str]) -> list[str]:
    """Those that are neither standards nor mounts."""
    kinds = {each.name: each.kind for each in known.experiment.specimens}
    return [name for name in names if kinds.get(name, "specimen") == "specimen"]


def belongs_to_nothing(known: Known) -> bool:
    """Whether specimens are named in the experiment and no scan belongs to any."""
    scans = [scan for some in known.scans.values() for scan in some]
    return bool(scans and known.experiment.specimens) and not any(scan.place.specimen for scan in scans)


def _too_few(one: Answer, kinds_of: Iterable[Fact]) -> Iterator[str]:
    """A caution where the count of different things says less than the fit surely needs."""
    needed = sum(share["low"] > 0 for share in one.detail["shares"].values())
    yield from (words.fewer_counted(int(each.value), needed) for each in kinds_of if each.value < needed)


def _nobody(edge: str, there: EdgeSet, by_specimen: dict[str, tuple[Pass, ...]]) -> QuestionRefused:
    """Why there is no specimen to tell shares of, and what to do."""
    found = f"scans of {', '.join(by_specimen)} alone"
    act = "Scan a specimen, or name one: --specimen NAME."
    if not by_specimen:
        scans = len({each.scan.key for each in there.passes})
        found, act = f"{scans} {'scan' if scans == 1 else 'scans'} of nobody knows what", HOW_TO_PLACE
    return QuestionRefused(f"shares at {edge}", "a kept scan that belongs to a specimen", found, act)


def all_shares(session: Session, known: Known) -> list[Answer]:
    """Shares of every specimen at every edge where two references stand beside each other: one alone is no
    mixture."""
    found = []
    for edge, there in kept_sets(session, known).items():
        recipe = session.recipe(known.experiment, edge)
        kept = _kept(there)
        if _specimens(known, kept) and len(_references(session, known, edge, kept, recipe)) > 1:
            found += shares_of(session, known, edge)
    return found


def _mark(one: mixtures.Reference) -> tuple:
    """Equal for the same reference, as long as its passes are kept alive."""
    return one.name, tuple(map(id, one.passes)), one.slide_ev, one.shelf


def _kept(there: EdgeSet) -> dict[str, tuple[Pass, ...]]:
    """The scans that were not set aside, by specimen."""
    found: dict[str, tuple[Pass, ...]] = {}
    for each in there.passes:
        name = each.scan.place.specimen
        if name is not None and each.scan.key not in there.set_aside:
            found[name] = (*found.get(name, ()), each)
    return found


def _unused(there: EdgeSet, kinds: dict[str, str]) -> tuple[str, ...]:
    """What is said of standards whose scans were set aside, and of specimens that lost all of theirs."""
    scans: dict[str, list[bool]] = {}
    for each in there.passes:
        if each.scan.place.specimen is not None:
            out = scans.setdefault(each.scan.place.specimen, [])
            out.append(each.scan.key in there.set_aside)
    told = []
    for name, out in scans.items():
        standard = kinds.get(name) == "standard"
        if all(out) or (standard and any(out)):
            told.append(words.unused(name, sum(out), len(out), standard))
    return tuple(told)


def _references(
    session: Session, known: Known, edge: str, by_specimen: dict[str, tuple[Pass, ...]], recipe: Recipe
) -> list[mixtures.Reference]:
    """Standards measured here stand before those of the same name from the shelf."""
    standards = {each.name for each in known.experiment.specimens if each.kind == "standard"}
    holds = {each.name: each.holds for each in known.experiment.specimens}
    found = [
        mixtures.Reference(name, passes, _tie_sigma(passes), holds=holds[name])
        for name, passes in by_specimen.items()
        if name in standards
    ]
    measured = {each.name for each in found}
    for event, standard in lent(session, known, edge):
        if standard.name not in measured:
            passes = as_passes(standard, event.payload["sha256"], recipe)
            sigma_ev, own = event.payload["sigma_ev"], holds.get(standard.name, ())
            found.append(mixtures.Reference(standard.name, passes, sigma_ev, shelf=True, holds=own))
    return found


def _tie_sigma(passes: tuple[Pass, ...]) -> float | None:
    """Scans of one shift share its axis; what a tie of their own says of it holds for them."""
    sigmas = [each.scan.tie.sigma_ev for each in passes if each.scan.tie and each.scan.tie.sigma_ev > 0]
    return max(sigmas) if sigmas else None


def _signed(session: Session, known: Known, edge: str, name: str, found: Answer) -> Answer:
    """The answer with what it stands on, the standards that were lent included."""
    events = (known.open or known).state.events
    lent_here = [event.payload["sha256"] for event in events if event.kind == "standard"]
    rest = session.identity(known, f"here/{edge}/{name}", (edge,))
    return replace(found, identity=digest(rest, *lent_here))
