"""Seen, not seen with the smallest amount that would have shown, or cannot tell and why: one element's
verdict."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from edgeshift.numerics.detection import limits
from edgeshift.questions.here.lineup import Impostor, World, lineup
from edgeshift.questions.here.searching import MOST_SHARE, PARTNER, Evidence

Verdict = Literal["seen", "not-seen", "cannot-tell"]
UNEXPLAINED = 4.0
"""Where a smooth background leaves so many times the noise, something else stands there, and a limit would
claim too much (practice, no source)."""
LARGEST_LIMIT = 1.0
"""A limit above the whole reading below the edge is none."""
MISS_SIGMA = 1.645
VALLEY_TOO = 1.2
"""Between two lines a valley must show as well, which fewer points judge (measured on drawn pairs)."""


@dataclass(frozen=True)
class Judged:
    """One element in one specimen.

    `reason` is a closed code: stands, nothing, impostor, ghost, beam-marks, incomplete,
    partner-unscanned, slow-rise, rides, unexplained, too-weak-a-test. `best` is what it rests on. `limit` is
    the smallest amount that would have shown, `amount` with `sigma` what stands there: all in shares of the
    reading just below the edge, heights of the first line of a pair, or of the step.
    """

    element: str
    specimen: str
    verdict: Verdict
    reason: str
    best: Evidence
    limit: float | None = None
    amount: float | None = None
    sigma: float | None = None
    impostors: tuple[Impostor, ...] = ()


def judged(element: str, specimen: str, found: Iterable[Evidence], world: World, looks: int) -> Judged:
    """The verdict from every scan of one specimen that could show the element."""
    some = list(found)
    nothing = [e for e in some if e.state == "nothing" and _limit(e, looks) <= LARGEST_LIMIT]
    stands = [e for e in some if e.state == "found"]
    doubted = [e for e in some if e.state in ("alone", "slow")]
    if stands:
        return _standing(max(stands, key=lambda e: e.found.strength), specimen, world)
    quiet = [e for e in nothing if e.found.misfit < UNEXPLAINED]
    least = min(quiet, key=lambda e: _limit(e, looks), default=None)
    if doubted:
        best = max(doubted, key=lambda e: e.found.strength)
        if not _stands_out(best) and least is None:
            return replace(_doubted(best, specimen, world), amount=None, sigma=None)
        if least is None or best.found.amounts[0] < _limit(least, looks):
            return _doubted(best, specimen, world)
    if least is not None:
        return _absent(least, specimen, world, looks)
    if nothing:
        return Judged(element, specimen, "cannot-tell", "unexplained", nothing[0])
    hidden = next((e for e in some if e.behind), None)
    if hidden is not None:
        return _with_lineup(Judged(element, specimen, "cannot-tell", "rides", hidden), world)
    return Judged(element, specimen, "cannot-tell", "too-weak-a-test", some[0])


def _stands_out(each: Evidence) -> bool:
    """Whether its first line, or its step, is more than what humps and background make of it."""
    return each.state == "slow" or each.amount.amount > PARTNER * each.amount.sigma


def _standing(best: Evidence, specimen: str, world: World) -> Judged:
    told = _with_lineup(_read(best, specimen, "seen", "stands"), world)
    if best.beyond:
        reason = "rides" if _is_ridden(told) else "partner-unscanned"
        return replace(told, verdict="cannot-tell", reason=reason)
    if any(each.decisive for each in told.impostors):
        return replace(told, verdict="cannot-tell", reason="impostor")
    return told


def _doubted(best: Evidence, specimen: str, world: World) -> Judged:
    reason = "slow-rise" if best.state == "slow" else "incomplete"
    told = _with_lineup(_read(best, specimen, "cannot-tell", reason), world)
    return replace(told, reason="rides") if _is_ridden(told) else told


def _is_ridden(told: Judged) -> bool:
    """Whether it may be structure of an edge just below it, which no lines of its own contradict."""
    return any(each.kind == "rides" for each in told.impostors)


def _read(best: Evidence, specimen: str, verdict: Verdict, reason: str) -> Judged:
    height = best.amount
    return Judged(best.family.element, specimen, verdict, reason, best, None, height.amount, height.sigma)


def _absent(best: Evidence, specimen: str, world: World, looks: int) -> Judged:
    told = Judged(best.family.element, specimen, "not-seen", "nothing", best, _limit(best, looks))
    if world.scans[best.scan].edge != best.family.name:
        return told
    told = _with_lineup(told, world)
    open_reasons = {each.reason for each in told.impostors if each.decisive}
    reason = (
        "ghost" if "fits" in open_reasons else "beam-marks" if "beam-marks" in open_reasons else "nothing"
    )
    return replace(told, reason=reason)


def _with_lineup(told: Judged, world: World) -> Judged:
    return replace(told, impostors=lineup(told.best, world))


def _limit(each: Evidence, looks: int) -> float:
    """The smallest amount that would have been called seen in 95 of 100 cases.

    The whole must stand out among all `looks`; the step, or the weaker of two lines, on its own. A partner is
    taken to be a third of the first line at least.
    """
    whole = limits(each.found.null_alone, looks).detectable
    part = (PARTNER + MISS_SIGMA) * each.found.null_sigma
    return max(whole, part * (VALLEY_TOO * MOST_SHARE if each.kind == "lines" and not each.beyond else 1.0))
