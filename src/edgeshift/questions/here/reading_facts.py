"""What was read off an edge, as facts: each number with what it is and its give-or-take."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from edgeshift.records.answer import Fact, Ref
from edgeshift.tables.edges import edge_named
from edgeshift.wording import here as words

GIVE_OR_TAKE = 1.96


def reading_facts(edge: str, form: Mapping[str, Any], feature: str | None) -> Iterator[Fact]:
    """Facts of `detail["form"]` for each specimen in turn, then how they stand beside each other.

    `feature` is how the group says its declared feature (None: none was declared).
    """
    read, apart = form["readings"], form["tie_by"]
    for each in read:
        refs = _refs(each)
        where, untied = refs[0].token(), each["untied"]
        if feature is not None:
            yield from _feature(form["spots"], each, where, feature, refs)
        yield from (
            Fact(
                "line-ratio",
                words.line_ratio_words(where, _lines(edge), told, untied),
                told["value"],
                told["sigma"] and GIVE_OR_TAKE * told["sigma"],
                "times",
                refs,
            )
            for told in each["lines"]
        )
        if each["half_step"]:
            half = each["half_step"]
            what = words.half_step_words(where, untied, half["lines_before"])
            yield Fact("half-step", what, half["value"], GIVE_OR_TAKE * half["sigma"], "eV", refs)
        if each["tops"]:
            places = [top["at_ev"] for top in each["tops"]]
            yield Fact("tops", words.tops_words(where, places, untied), evidence=refs)
        if each["foils"]:
            foils = list(each["foils"].values())
            spread = float(np.ptp(foils)) / 2.0 if len(foils) > 1 else None
            yield Fact("foil", words.foil_words(where), float(np.mean(foils)), spread or None, "eV", refs)
    yield from _beside(form, read, apart)


def _beside(form: Mapping[str, Any], read: Sequence[Mapping], apart: Mapping[str, float]) -> Iterator[Fact]:
    """How specimens stand beside each other; not while their foils say that their axes differ."""
    if apart:
        ev = float(np.ptp(list(apart.values())))
        yield Fact("foils-apart", words.FOILS_APART.format(ev=ev), ev, None, "eV")
    elif len(form["in_order"]) > 1:
        order = form["in_order"]
        names = [_refs(each)[0].token() for each in order]
        refs = tuple(_refs(each)[0] for each in order)
        yield Fact("in-order", words.rank_words(names, [each["apart"] for each in order]), evidence=refs)


def _feature(
    spots: Iterable[Mapping], each: Mapping[str, Any], where: str, said: str, refs: tuple[Ref, ...]
) -> Iterator[Fact]:
    """The declared feature of one specimen: the mean of its spots, with noise and their spread."""
    mine = [spot["feature"] for spot in spots if set(spot["scans"]) & set(each["scans"])]
    known = [one for one in mine if one and math.isfinite(one["value"])]
    if not known:
        return
    values = [one["value"] for one in known]
    noise = [one["sigma"] for one in known if math.isfinite(one["sigma"])]
    between = float(np.std(values, ddof=1) / math.sqrt(len(values))) if len(values) > 1 else 0.0
    own = math.sqrt(sum(sigma**2 for sigma in noise)) / len(values)
    unit = "eV" if known[0]["kind"] in ("centroid", "position") else None
    what = words.feature_words(where, known[0], said)
    sigma = GIVE_OR_TAKE * math.hypot(between, own)
    yield Fact("feature", what, float(np.mean(values)), sigma or None, unit, refs)


def _refs(each: Mapping[str, Any]) -> tuple[Ref, ...]:
    scans = tuple(Ref("scan", scan) for scan in each["scans"])
    return (Ref("specimen", each["specimen"]), *scans) if each["specimen"] else scans


def _lines(edge: str) -> str:
    """Which lines of the pair are compared."""
    first, second = (one.name.split()[-1] for one in edge_named(edge).edges[:2])
    return f"{first} over {second}"
