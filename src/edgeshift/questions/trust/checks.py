"""Every check of one scan. Each looks at a case and gives its reasons, or none."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from edgeshift.numerics.completeness import (
    above_chord,
    line_strength,
    step_beside_slope,
    step_strength,
    too_short,
    widest_gap,
)
from edgeshift.numerics.likeness import coherence, likeness
from edgeshift.questions.trust.case import Case
from edgeshift.questions.trust.reasons import Reason, against, note
from edgeshift.records.flags import BY_CODE, UNUSABLE
from edgeshift.reduction.edge_of_scan import is_survey
from edgeshift.reduction.steps.rates import dead_share
from edgeshift.tables.edges import lowest_ev

LOST_POINTS = 3
"""A beam that was away for so many points may come back at another energy: the scan is set aside."""
MISSING_SHARE = 0.1
BEAM_CORRELATION, BEAM_SIGMAS = 0.3, 3.5
"""Coherence with I0 above 0.3 is told (practice, no source), where chance alone does not make it."""
TILT, SQUEEZE, LIKENESS_SIGMAS = 0.12, 0.15, 5.0
"""Differences from the other scans that are told, as shares of the height (practice, no source)."""
NOISE_RATIO = 2.5
READ_BACK = 1.1
"""Read-back energies jitter: a gap is one where it is clearly wider than it may be (practice, no source)."""
BACK_STEP = 0.5
"""Energies step back where they fall by more than this share of the usual step: read-back jitters."""


def reasons(case: Case) -> tuple[Reason, ...]:
    """All reasons of one scan, those that weigh most first."""
    found = [reason for check in CHECKS for reason in check(case)]
    return tuple(sorted(found, key=lambda reason: reason.weight != "set-aside"))


def _completeness(case: Case) -> Iterator[Reason]:
    if case.each.scan.edge is None:
        if not case.each.scan.doubts:
            yield note("no-edge")
        return
    found = case.found
    match too_short(case.energy_ev, case.value, case.need, found):
        case "points":
            yield against("few-points", points=int(case.energy_ev.size))
        case "below" if not _is_edge_absent(case):
            yield against("short-below", found=max(found.below_ev, 0.0), needed=found.needed_ev)
        case "feature":
            lows, highs = zip(*case.windows, strict=True)
            yield against("short-feature", low=min(lows), high=max(highs))
        case "above":
            weigh = against if case.scaled_to_step else note
            yield weigh("short-above", found=max(found.above_ev, 0.0), needed=found.needed_ev)


def _order(case: Case) -> Iterator[Reason]:
    energy = case.each.scan.energy_ev
    steps = np.diff(energy) * (-1.0 if case.each.scan.direction == "down" else 1.0)
    usual = float(np.median(np.abs(steps)))
    back = int(np.sum(steps < -BACK_STEP * usual))
    if back:
        yield (against if back > 0.1 * energy.size else note)("back-steps", points=back)


def _gaps(case: Case) -> Iterator[Reason]:
    if case.energy_ev.size < 3 or is_survey(case.each.scan) or not np.isfinite(case.width_ev):
        return
    if not case.windows and not _strength_of(case) > case.recipe.scale.least_step_sigmas:
        return
    gap, allowed = widest_gap(case.curve.energy_ev, case.curve.value, case.windows, case.width_ev)
    if gap > READ_BACK * allowed:
        yield (against if case.windows else note)("gap", gap=gap, allowed=allowed)


def _flags(case: Case) -> Iterator[Reason]:
    """One reason for each kind of flagged point; against the scan where it cannot be lived with."""
    for code, flag in (
        ("clipped", "clipped"),
        ("beam-dropped", "i0-collapse"),
        ("missing", "missing"),
        ("spike", "spike"),
        ("injection", "injection"),
    ):
        at = case.flagged(BY_CODE[flag].bit)
        if not at.size:
            continue
        weigh = against if _is_grave(code, at, case) else note
        finite = at[np.isfinite(at)]
        yield weigh(code, points=int(at.size), at=float(finite[0]) if finite.size else float("nan"))


def _is_grave(code: str, at: np.ndarray, case: Case) -> bool:
    if code == "clipped":
        return not case.windows or bool(case.in_feature(at).any())
    if code == "beam-dropped":
        return at.size >= LOST_POINTS and _was_sudden(case)
    return code == "missing" and at.size > MISSING_SHARE * case.each.flags.size


def _was_sudden(case: Case) -> bool:
    """Whether the beam lost half of itself from one point to the next: a trip, and not a slow decline."""
    i0 = case.each.rates["i0"]
    lost = (case.each.flags & BY_CODE["i0-collapse"].bit) != 0
    steps = np.flatnonzero(lost[1:] != lost[:-1])
    before, after = i0[steps], i0[steps + 1]
    return bool(np.any(np.minimum(before, after) < 0.5 * np.maximum(before, after))) or bool(lost.all())


def _feature_points(case: Case) -> Iterator[Reason]:
    """A blip in the feature is left out and the scan kept, unless most points of a window are lost, more than
    one: a single point is told by its neighbours."""
    bad = (case.each.flags & UNUSABLE) != 0
    for low, high in case.windows:
        inside = (case.each.scan.energy_ev >= low) & (case.each.scan.energy_ev <= high)
        lost = int(np.sum(inside & bad))
        if lost > 1 and 2 * lost > int(inside.sum()):
            yield against("feature-lost")
            return


def _dead_time(case: Case) -> Iterator[Reason]:
    scan = case.each.scan
    share = dead_share(scan.channels[scan.signal], scan.dwell_s)
    most = 0.0 if share is None or not np.isfinite(share).any() else float(np.nanmax(share))
    if most > case.recipe.rates.note_dead_time:
        yield note("dead-time", percent=100.0 * most)


def _strength(case: Case) -> Iterator[Reason]:
    if case.each.scan.edge is None:
        return
    if not np.isfinite(case.found.rise_ev) and not _is_edge_absent(case):
        return
    sigmas, least = _surest_strength(case), case.recipe.scale.least_step_sigmas
    if sigmas < -least:
        yield against("falls")
    elif sigmas < least or _is_edge_absent(case):
        yield note("weak-step" if case.is_k else "weak-line", sigmas=np.fmax(sigmas, 0.0))


def _is_edge_absent(case: Case) -> bool:
    """Whether a scan that began well below the tabulated edge shows none: then nothing can begin too late.

    What passes for its rise is noise or the bend of its background.
    """
    low_ev = lowest_ev(case.each.scan.edge)
    early = low_ev is not None and bool(np.any(case.energy_ev < low_ev - case.found.needed_ev))
    return early and (
        case.found.below_points < 2 or _surest_strength(case) < case.recipe.scale.least_step_sigmas
    )


def _surest_strength(case: Case) -> float:
    """The edge's strength, beside the slope of the background where it seems to fall."""
    sigmas = _strength_of(case)
    return _beside_slope(case) if sigmas < -case.recipe.scale.least_step_sigmas else sigmas


def _strength_of(case: Case) -> float:
    """How clear the edge is, in standard errors: a K edge by its step, the others by their lines."""
    if case.is_k:
        return step_strength(case.energy_ev, case.value, case.found)
    return line_strength(case.energy_ev, case.value, case.found, case.need.split_ev)


def _beside_slope(case: Case) -> float:
    """The same beside the slope of the background, which may fall faster than an edge rises."""
    if case.is_k:
        return step_beside_slope(case.energy_ev, case.value, case.found)
    return above_chord(case.energy_ev, case.value, case.found, case.need.split_ev)


def _beam(case: Case) -> Iterator[Reason]:
    i0 = case.each.rates.get("i0")
    if i0 is None or case.each.scan.signal == "absorption":
        return
    found = coherence(case.curve.energy_ev, case.curve.value, i0[case.curve.rows])
    if found and abs(found.correlation) > BEAM_CORRELATION and abs(found.sigmas) > BEAM_SIGMAS:
        yield note("beam-structure", correlation=found.correlation)


def _likeness(case: Case) -> Iterator[Reason]:
    if not case.others:
        return
    found = likeness(case.curve.energy_ev, case.curve.value, case.theirs)
    if found is None:
        return
    if abs(found.tilt) > max(TILT, LIKENESS_SIGMAS * found.tilt_sigma):
        yield note("tilted", percent=100.0 * abs(found.tilt))
    if found.squeeze > max(SQUEEZE, LIKENESS_SIGMAS * found.squeeze_sigma):
        yield note("squeezed", squeeze=found.squeeze)
    if found.noise_ratio > NOISE_RATIO:
        yield note("noisy", times=found.noise_ratio)


def _label(case: Case) -> Iterator[Reason]:
    specimen = case.each.scan.place.specimen
    if specimen is None:
        yield note("no-specimen")
    elif case.listed and specimen not in case.listed:
        yield note("unlisted")
    for words in (*case.each.scan.doubts, *case.each.doubts):
        yield note("doubt", words=words)


CHECKS = (
    _completeness,
    _order,
    _gaps,
    _flags,
    _feature_points,
    _dead_time,
    _strength,
    _beam,
    _likeness,
    _label,
)
"""In the order in which reasons of equal weight are told."""
