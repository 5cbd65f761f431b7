"""Why two scans differ, as an answer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from edgeshift.numerics.autopsy import Autopsy, autopsy, is_quiet
from edgeshift.numerics.bends import Bent, bent
from edgeshift.numerics.local_lines import spline
from edgeshift.numerics.outliers import alone
from edgeshift.questions.trust.findings import Finding
from edgeshift.questions.trust.together import findings
from edgeshift.questions.trust.traces import traces_of
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.flags import UNUSABLE
from edgeshift.records.once import Once
from edgeshift.records.shift_state import ShiftState
from edgeshift.records.spectrum import Pass, Spectrum
from edgeshift.wording import trust as words
from edgeshift.wording.numbers import GIVE_OR_TAKE

UNITS = {"gain": None, "offset": "", "slope": "", "slide": "eV", "blur": "eV²", "left": ""}
"""Unit of each part; '' stands for the curve's own."""
STRANGE, MISFIT, FAR_EV = 0.05, 0.01, 0.5
"""Two spectra are different ones where so much is left, root mean square over the height, or less beside a
slide farther than a scale moves unseen (practice, no source)."""
REPEATS = 0.02
"""Repeats may differ so much in gain and background, root mean square over the height (practice)."""
SAME_PLACE_EV, BEND_EXPLAINS = 0.05, 1.0 / 3.0
"""Two scans agree in position within this; a bend is told where it explains this share of what is left,
squared (practice, no source)."""
NO_CAUSE = ("dead-time-beside", "series-steady")
"""What may be said of two scans, and is no reason why they differ."""


def compare(
    first: Spectrum,
    second: Spectrum,
    passes: tuple[Pass, ...] = (),
    shift: Sequence[Mapping[str, Any]] = (),
) -> Answer:
    """Take the difference of two curves apart, on the first one's energies and without flagged points.

    The noise of each point is the larger of its counting error and what the curve itself shows. Too few
    common points: the answer is that we cannot tell. With the two `passes` also what their detectors and
    their place say of the cause: charging, damage, a slide, a copy, a scan that nobody divided. `shift` are
    the findings of the whole shift (its `detail["findings"]`): what they say of one of the two only is told.
    """
    edge = first.edge if first.edge == second.edge else None
    one, two = _usable(first), _usable(second)
    moved = spline(second.energy_ev, two).at(first.energy_ev)
    noises = _noise(first, one), np.interp(first.energy_ev, second.energy_ev, _noise(second, two))
    noise = np.hypot(*noises)
    try:
        found = autopsy(first.energy_ev, one, moved, noise)
    except ValueError:
        return Answer("trust", "cannot-tell", words.TOO_LITTLE, edge, detail={"scans": {}})
    refs = (Ref("scan", first.key), Ref("scan", second.key))
    parts = [_part(part, first.unit) for part in found.parts]
    bends = _bends(first.energy_ev, one, moved, noise)
    kind = _kind(found, bends, one, moved)
    told = tuple(_told(p, bends, refs) for p in parts if p["value"] and p["code"] != "left")
    test = Fact("left", words.PARTS["left"], found.chi2_nu, None, None, refs)
    caution = words.CAUTIONS.get(kind)
    causes = _causes(passes)
    beside = _of_one(shift, (first.key, second.key), {cause.code for cause in causes})
    main = next((p for p in parts if p["code"] == found.main), parts[-1])
    drawn = {**_detail(found, parts, first), "kind": kind, **_drawn(refs, (one, moved), noises)}
    return Answer(
        "trust",
        "all-kept",
        words.difference(first.key, second.key, kind, (found.main, *_as_read(main))),
        edge,
        (
            *(told if kind != "different" else ()),
            test,
            *(cause.fact() for cause in causes),
            *(_fact(each) for each in beside),
        ),
        tuple(dict.fromkeys((*(cause.next_act for cause in causes), *(each["next"] for each in beside)))),
        (caution,) if caution else (),
        {"autopsy": drawn, "findings": [*(cause.as_detail() for cause in causes), *beside]},
    )


def _bends(energy_ev: np.ndarray, one: np.ndarray, moved: np.ndarray, noise: np.ndarray) -> Bent:
    good = np.isfinite(one) & np.isfinite(moved) & np.isfinite(noise) & (noise > 0)
    return bent(energy_ev[good], one[good], moved[good], noise[good])


def _kind(found: Autopsy, bends: Bent, one: np.ndarray, moved: np.ndarray) -> str:
    """The main cause, or what is truer than naming one part.

    different: no slide of a scale and no gain brings the two together. repeats: what differs beyond noise is
    as small as a repeat leaves it. bend: they agree in position, and a smooth bend of the heights explains
    much of what no plain part does, or of what looks like a slide or like blur.
    """
    height = float(np.nanmax(moved) - np.nanmin(moved)) or 1.0
    part = {each.code: each.value for each in found.parts}
    left = min(part["left"] / height, bends.left)
    slides = abs(part["slide"]), abs(bends.slide_ev)
    if left > STRANGE or (left > MISFIT and min(slides) > FAR_EV):
        return "different"
    rest_is_noise = is_quiet(found.chi2_nu, 0.0, np.count_nonzero(np.isfinite(found.left)))
    apart = float(np.sqrt(np.nanmean((moved - one) ** 2))) / height
    if found.main in ("gain", "offset", "slope") and rest_is_noise and not part["slide"] and apart < REPEATS:
        return "repeats"
    agree = slides[1] < max(SAME_PLACE_EV, GIVE_OR_TAKE * bends.sigma_ev)
    smooth = bends.over_noise**2 < (1.0 - BEND_EXPLAINS) * found.chi2_nu
    if agree and (
        (found.main in ("left", "blur") and smooth) or (found.main == "slide" and _bends_fake(slides))
    ):
        return "bend"
    return found.main


def _bends_fake(slides: tuple[float, float]) -> bool:
    """Whether most of a slide is gone once the heights may bend."""
    return slides[1] < slides[0] / 2.0


def _told(part: Mapping[str, Any], bends: Bent, refs: tuple[Ref, ...]) -> Fact:
    """A part as a fact. A slide that pressed tops may fake is told as it is beside them."""
    if part["code"] == "slide" and _bends_fake((abs(part["value"]), abs(bends.slide_ev))):
        beside = words.as_read("slide", bends.slide_ev, bends.sigma_ev, "eV")
        return Fact("slide", words.BESIDE_BENDS, *beside, refs)
    return Fact(part["code"], words.PARTS[part["code"]], *_as_read(part), refs)


def _causes(passes: tuple[Pass, ...]) -> tuple[Finding, ...]:
    """What the two scans show together, as in a shift that held no other."""
    if len({each.scan.key for each in passes}) < 2:
        return ()
    by_edge: dict[str, list[Pass]] = {}
    for each in passes:
        by_edge.setdefault(each.scan.edge or "", []).append(each)
    sets = {edge: tuple(some) for edge, some in by_edge.items()}
    found = findings(traces_of(sets, ShiftState(), Experiment(), frozenset(), Once(None)))
    return tuple(each for each in found if each.code not in NO_CAUSE)


def _of_one(
    shift: Sequence[Mapping[str, Any]], keys: tuple[str, str], told: set[str]
) -> list[Mapping[str, Any]]:
    """Findings of the whole shift about one of the two only: what touches both does not make them differ."""
    return [
        {**each, "scans": [key for key in keys if key in each["scans"]]}
        for each in shift
        if sum(key in each["scans"] for key in keys) == 1 and each["code"] not in told.union(NO_CAUSE)
    ]


def _fact(each: Mapping[str, Any]) -> Fact:
    refs = tuple(Ref("scan", key) for key in each["scans"])
    return Fact(each["code"], f"{refs[0].token()}: {each['sentence']}", evidence=refs)


def _as_read(part: Mapping[str, Any]) -> tuple:
    return words.as_read(part["code"], part["value"], part["sigma"], part["unit"])


def _usable(curve: Spectrum) -> np.ndarray:
    return np.where(curve.flags & UNUSABLE, np.nan, curve.value)


def _noise(curve: Spectrum, value: np.ndarray) -> np.ndarray:
    return np.fmax(alone(curve.energy_ev, value).sigma, curve.sigma)


def _part(part, unit: str) -> dict[str, Any]:
    sigma = float(part.sigma) if np.isfinite(part.sigma) else None
    said = UNITS[part.code]
    return {
        "code": part.code,
        "value": part.value,
        "sigma": sigma,
        "unit": unit if said == "" else said,
        "share": part.share,
    }


def _detail(found: Autopsy, parts: list[dict], first: Spectrum) -> dict[str, Any]:
    return {
        "parts": parts,
        "main": found.main,
        "chi2_nu": found.chi2_nu,
        "lag1": found.lag1,
        "unit": first.unit,
        "energy_ev": first.energy_ev.tolist(),
        "left": found.left.tolist(),
    }


def _drawn(refs: tuple[Ref, Ref], curves: tuple, noises: tuple) -> dict[str, Any]:
    """Names and points of both curves with their noise, and that of their difference."""
    (one, moved), (noise, other_noise) = curves, noises
    return {
        "names": [ref.token() for ref in refs],
        "first": one.tolist(),
        "first_sigma": noise.tolist(),
        "second": moved.tolist(),
        "second_sigma": other_noise.tolist(),
        "left_sigma": np.hypot(noise, other_noise).tolist(),
    }
