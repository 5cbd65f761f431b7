"""From views to an answer: shares, the sum, what is left, what would not show, and which sets fit equally."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from edgeshift.numerics.components import f_test
from edgeshift.numerics.fan import AS_GOOD, Doubt, Fan, View, fan
from edgeshift.numerics.mixtures import non_negative
from edgeshift.questions.mixtures.views import Reference, Seen, seen
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.answer import Answer, Fact, Ref
from edgeshift.records.scan import Channel
from edgeshift.records.spectrum import Pass
from edgeshift.wording import mixtures as words

BEYOND_DOUBT = 2.0
"""What is left counts as unlike every reference from so many times on what their doubts and noise explain."""
WIDE = 0.5
"""An interval wider than this tells little (common practice, no source)."""


def answer(
    edge: str, specimen: str, target: tuple[Pass, ...], references: Sequence[Reference], recipe: Recipe
) -> Answer:
    """Shares of `references` in one specimen at one edge, from flagged scans.

    `detail.shares` maps each reference to its middle, low and high (the fan), the formal half width beside
    them and the share below which it would not show. One reference is all of itself whatever was measured:
    its share runs from nought to one, `detail.alone` is true, and nothing is told by it. Raises
    QuestionRefused where a reference is too short.
    """
    if not references:
        return _no_references(edge, specimen)
    return answer_seen(edge, specimen, seen(edge, target, references, recipe), references, recipe, target)


def answer_seen(
    edge: str,
    specimen: str,
    looked: Seen,
    references: Sequence[Reference],
    recipe: Recipe,
    target: tuple[Pass, ...] = (),
) -> Answer:
    """The same from views that were made elsewhere, as of the mean of a map."""
    doubts = [
        Doubt(recipe.shares.slide_ev if one.slide_ev is None else one.slide_ev, recipe.shares.height)
        for one in references
    ]
    found = fan(looked.views, doubts, min(recipe.shares.most, len(references)))
    detail = _detail(specimen, looked, references, doubts, found)
    if target:
        detail["detector"] = _detector([*target, *(each for one in references for each in one.passes)])
    verdict = _verdict(detail, found)
    return Answer(
        "here",
        verdict,
        words.sentence(detail),
        edge,
        because=tuple(_facts(detail, target, references)),
        would_change_it=tuple(words.would_change(detail)),
        cautions=tuple(words.cautions(detail)),
        detail=detail,
    )


def _detector(passes: Sequence[Pass]) -> dict[str, Any]:
    """Which terms of fluorescence detectors are known for the scans of a fit: a dead time that is taken off,
    or was, and the scans of which nobody named one."""
    light = [each.scan for each in passes if each.scan.signal == "fluorescence"]
    known = {scan.key: _dead_time_known(scan.channels[scan.signal]) for scan in light}
    unknown = sorted(key for key, told in known.items() if not told)
    return {"fluorescence": bool(light), "dead_time_known": any(known.values()), "dead_time_unknown": unknown}


def _dead_time_known(channel: Channel) -> bool:
    return bool(channel.dead_time_s or channel.dead_fraction is not None or channel.corrected)


def _no_references(edge: str, specimen: str) -> Answer:
    return Answer(
        "here",
        "cannot-tell",
        words.NO_REFERENCE,
        edge,
        would_change_it=(words.ADD_A_REFERENCE,),
        detail={"specimen": specimen, "shares": {}},
    )


def _verdict(detail: Mapping[str, Any], found: Fan) -> str:
    if detail["unlike"] or detail["alone"]:
        return "cannot-tell"
    widest = float(np.max(found.high - found.low))
    return "answered" if len(found.sets) == 1 and widest <= WIDE else "partly"


def _detail(
    specimen: str, looked: Seen, references: Sequence[Reference], doubts: Sequence[Doubt], found: Fan
) -> dict[str, Any]:
    names = [one.name for one in references]
    plain = looked.views[0]
    limits = _limits(plain, found)
    explained = _explained(plain, doubts)
    middle, low, high = found.total
    alone = len(references) < 2
    return {
        "specimen": specimen,
        "alone": alone,
        "shares": {
            name: {
                "value": float(found.middle[k]),
                "low": 0.0 if alone else float(found.low[k]),
                "high": 1.0 if alone else float(found.high[k]),
                "formal": {"value": float(found.plain[k]), "half": float(found.formal[k])},
                "limit": 1.0 if alone else limits[k],
                "inner": {inside: [0.0, 1.0] for inside in ("80", "50")} if alone else _inner(found, k),
                "shelf": references[k].shelf,
                "slide_ev": doubts[k].slide_ev,
                "height": doubts[k].height,
            }
            for k, name in enumerate(names)
        },
        "sum": {"value": middle, "low": low, "high": high},
        "sets": [_set(names, each) for each in found.sets],
        "misfit": found.misfit,
        "explained_misfit": explained,
        "unlike": found.misfit > BEYOND_DOUBT * explained,
        "draws": {"tried": found.tried, "kept": len(found.members)},
        "windows": [list(window) for window in looked.windows],
        "views": len(looked.views),
        "curves": _curves(plain, looked.unit),
        "missing": _missing(plain, names, found),
        "held": [] if alone else _held(references, found),
    }


def _held(references: Sequence[Reference], found: Fan) -> list[dict[str, Any]]:
    """Each quantity that some reference is known to hold: of the mixture, with the fan and the stated errors
    in its interval; without a number where a reference that may be in it is not known."""
    told = []
    for gives in dict.fromkeys(each.gives for one in references for each in one.holds):
        known = [next((h for h in one.holds if h.gives == gives), None) for one in references]
        lacking = [one.name for one, each in zip(references, known, strict=True) if each is None]
        sources = list(dict.fromkeys(each.source for each in known if each))
        entry: dict[str, Any] = {"gives": gives, "sources": sources, "lacking": lacking}
        if not lacking:
            middle, low, high = found.weighed(np.array([each.value for each in known]))
            stated = 1.96 * float(np.linalg.norm(found.middle * np.array([each.error for each in known])))
            low, high = (middle + way * np.hypot(end - middle, stated) for way, end in ((-1, low), (1, high)))
            entry |= {"value": middle, "low": float(low), "high": float(high)}
        told.append(entry)
    return told


def _set(names: Sequence[str], each) -> dict[str, Any]:
    parts = {names[k]: part for k, part in zip(each.members, each.parts, strict=True)}
    return {"references": list(parts), "parts": parts, "often": each.often}


def _inner(found: Fan, place: int) -> dict[str, list[float]]:
    """The nested tints of the fan: where 80 % and 50 % of it lie."""
    parts = found.members[:, place]
    return {
        str(inside): [float(each) for each in np.quantile(parts, (0.5 - inside / 200, 0.5 + inside / 200))]
        for inside in (80, 50)
    }


def _limits(view: View, found: Fan) -> list[float]:
    """For each reference the share that would have stood clear of nought, the larger of two: what the fan
    spans below its middle (or up to its end, where it holds nought), and what would worsen the misfit of the
    best set beyond an equal one."""
    best = list(found.sets[0].members)
    left = found.misfit**2 * view.curve.size
    limits = []
    for place, reference in enumerate(view.references):
        spans = found.middle[place] - found.low[place] if found.low[place] > 0 else found.high[place]
        inner = view.references[[k for k in best if k != place]]
        own = reference - (np.linalg.lstsq(inner.T, reference, rcond=None)[0] @ inner if len(inner) else 0.0)
        seen_from = np.sqrt(((1 + AS_GOOD) ** 2 - 1) * left / max(float(own @ own), 1e-300))
        limits.append(float(min(1.0, max(spans, seen_from))))
    return limits


def _explained(view: View, doubts: Sequence[Doubt]) -> float:
    """Misfit that noise and doubted references leave by themselves, root mean square, in the curve's unit."""
    shares = non_negative(view.curve, view.references).shares
    square = view.sigma**2
    for share, reference, doubt in zip(shares, view.references, doubts, strict=True):
        slope = np.gradient(reference, view.energy)
        square = square + share**2 * ((doubt.height * reference) ** 2 + (doubt.slide_ev * slope) ** 2)
    return float(np.sqrt(np.mean(square)))


def _curves(view: View, unit: str) -> dict[str, Any]:
    """The plain view: the curve with its noise, the sum of the references, and what is left."""
    found = non_negative(view.curve, view.references)
    model = found.shares @ view.references
    return {
        "unit": unit,
        "energy_ev": view.energy.tolist(),
        "value": view.curve.tolist(),
        "sigma": view.sigma.tolist(),
        "fit": model.tolist(),
        "left": (view.curve - model).tolist(),
    }


def _missing(view: View, names: Sequence[str], found: Fan) -> dict[str, Any] | None:
    """What a missing reference would look like: the smallest certain one left out, the rest fitted anew."""
    best = [k for k in found.sets[0].members if found.low[k] > 0]
    if len(found.sets[0].members) < 2 or not best:
        return None
    out = min(best, key=lambda k: found.middle[k])
    kept = [k for k in found.sets[0].members if k != out]
    fewer = non_negative(view.curve, view.references[kept])
    left = view.curve - fewer.shares @ view.references[kept]
    whole = view.references[list(found.sets[0].members)]
    full = non_negative(view.curve, whole)
    points, size = view.curve.size, len(found.sets[0].members)
    earned = f_test(
        points * fewer.misfit**2, points - size + 1, max(points * full.misfit**2, 1e-300), points - size
    )
    return {
        "reference": names[out],
        "misfit_ratio": float(fewer.misfit / max(full.misfit, 1e-300)),
        "explained": earned.explained,
        "f": earned.f,
        "farthest_ev": float(view.energy[int(np.argmax(np.abs(left)))]),
        "left": left.tolist(),
    }


def _facts(detail: Mapping[str, Any], target: tuple[Pass, ...], references: Sequence[Reference]):
    scans = tuple(Ref("scan", each.scan.key) for each in target)
    if not detail["alone"]:
        yield from _share_facts(detail, scans, references)
    total = detail["sum"]
    yield Fact("sum", words.sum_of(detail), total["value"], 0.5 * (total["high"] - total["low"]), None, scans)
    yield Fact("misfit", words.MISFIT, detail["misfit"], None, words.unit(detail), scans)
    yield Fact(
        "misfit-explained", words.EXPLAINED, detail["explained_misfit"], None, words.unit(detail), scans
    )
    if len(detail["sets"]) > 1:
        yield Fact("equal-sets", words.equal_sets(detail), float(len(detail["sets"])), None, None, scans)
    if detail["missing"]:
        missing = detail["missing"]
        yield Fact("missing-look", words.missing(missing), missing["misfit_ratio"], None, "times", scans)
        told = words.earned(missing)
        yield Fact("component-explains", told, 100 * missing["explained"], None, "%", scans)


def _share_facts(detail: Mapping[str, Any], scans: tuple[Ref, ...], references: Sequence[Reference]):
    for one in references:
        share = detail["shares"][one.name]
        evidence = scans + (() if one.shelf else tuple(Ref("scan", each.scan.key) for each in one.passes))
        middle, half = (50 * (share["high"] + way * share["low"]) for way in (1, -1))
        yield Fact("share", words.share(one.name, share), middle, half, "%", evidence)
    for one in references:
        share = detail["shares"][one.name]
        formal = share["formal"]
        told = words.formal(one.name)
        yield Fact("formal-share", told, 100 * formal["value"], 100 * formal["half"], "%", scans)
    for one in references:
        told = words.limit(one.name)
        yield Fact("share-limit", told, 100 * detail["shares"][one.name]["limit"], None, "%", scans)
    for each in detail["held"]:
        if each["lacking"]:
            yield Fact("held", words.not_held(each), evidence=scans)
        else:
            half = 0.5 * (each["high"] - each["low"])
            yield Fact("held", words.held(each), 0.5 * (each["high"] + each["low"]), half, None, scans)
