"""The sentences of "Is the difference real?": at most twenty words, verb early, one fact."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from edgeshift.wording import bands, looks, one_more
from edgeshift.wording.numbers import count

RUNG_WORDS = {"scans": "repeat scans", "spots": "other spots", "units": "other units"}


def sentence(verdict: str, states: Mapping[str, str], detail: Mapping) -> str:
    """The one sentence of an edge's answer; of several treated arms it names the one it is about."""
    told = _told(verdict, states, detail)
    return f"{_arms(detail)[1]}: {told}" if detail["treated_arms"] > 1 else told


def _told(verdict: str, states: Mapping[str, str], detail: Mapping) -> str:
    control, treated = _arms(detail)
    if verdict == "no-change":
        matters = _matters(detail)
        return f"**No change larger than {matters}** between {control} and {treated}, as declared beforehand."
    if verdict == "units":
        return _units_lit(detail, control, treated)
    if verdict in ("spots", "scans"):
        return _below_units_lit(verdict, states, detail)
    if verdict == "not-shown":
        return f"**No difference shown** between {control} and {treated} beyond the scatter of their units."
    return "**We cannot tell yet**: too little was repeated to judge by."


def _matters(detail: Mapping) -> str:
    """With its unit; a ratio has none, nor has a feature that was read at the look and no longer is."""
    unit = (detail.get("feature") or {}).get("unit", "ratio")
    return f"{detail['matters']:g}" + (f" {unit}" if unit != "ratio" else "")


def _units_lit(detail: Mapping, control: str, treated: str) -> str:
    dots = [d for d in detail["dots"] if d["value"] is not None]
    pairs = {d["pair"] for d in dots}
    by_feature = detail["judged_by"] == "feature" and not detail.get("frozen")
    if detail["paired"] and by_feature and _same_way(dots, detail):
        every = "Both" if len(pairs) == 2 else f"All {count(len(pairs))}"
        return f"**{every} pairs moved the same way**, beyond their own scatter."
    if _by_shape("units", detail):
        return f"**The shape changed** from {control} to {treated}, beyond the scatter of their units."
    return f"Beyond the scatter of their units, **{treated} differs** from {control}."


def _by_shape(rung: str, detail: Mapping) -> bool:
    """Whether nothing but the shape band lit this rung: then less is known than where the curves differ."""
    return detail.get("lit_by", {}).get(rung) == ["shape"]


def _same_way(dots: Sequence[Mapping], detail: Mapping) -> bool:
    by_pair: dict = {}
    for dot in dots:
        by_pair.setdefault(dot["pair"], {})[dot["arm"]] = dot["value"]
    control, treated = detail["control"], detail["treated"][0]
    moves = [both[treated] - both[control] for both in by_pair.values() if len(both) == 2]
    return bool(moves) and (all(m > 0 for m in moves) or all(m < 0 for m in moves))


def _below_units_lit(verdict: str, states: Mapping[str, str], detail: Mapping) -> str:
    fewest = min(detail["units"].values())
    differ = "differ in shape" if _by_shape(verdict, detail) else "differ"
    if states["units"] == "cannot-test" and fewest == 1:
        return f"**These two {differ}.** One unit each cannot tell us why."
    if states["units"] == "cannot-test":
        return f"They {differ} **beyond {RUNG_WORDS[verdict]}**; other units cannot be tested yet."
    return f"They {differ} **beyond {RUNG_WORDS[verdict]}**, but not beyond the scatter of their units."


def _arms(detail: Mapping) -> tuple[str, str]:
    return f"{{arm:{detail['control']}}}", f"{{arm:{detail['treated'][0]}}}"


def nothing_to_compare(edge: str, arms: int) -> str:
    """Where `arms` of the two (none or one) have anything kept."""
    who = "Only one arm has" if arms else "No arm has"
    return f"{who} kept scans at {edge}, so **nothing can be compared**."


def measure_both(control: str, treated: str) -> str:
    """What would help then."""
    return f"Scan both {{arm:{control}}} and {{arm:{treated}}} at this edge."


def would_change_it(
    states: Mapping[str, str], detail: Mapping, look: str = "", verdict: str = ""
) -> tuple[str, ...]:
    """What could still turn the answer, one act each; `look` is what would bring the next look.

    Where no further look is planned nothing is promised of more units, spots or scans; nor beside a verdict
    that wants none.
    """
    acts = []
    if look and min(detail["units"].values()) > 1:
        acts.append(look)
    elif states["units"] == "cannot-test":
        acts.append("Treat and measure more units: each must have received its treatment on its own.")
    if states["units"] == "not-shown" and verdict != "no-change":
        spent = detail.get("looks") and detail.get("next_look_at") is None
        acts += [looks.beyond_the_plan(detail["paired"])] if spent else one_more.acts(detail)
    if states["spots"] == "cannot-test":
        acts.append("A second spot on a unit.")
    if states["scans"] == "cannot-test":
        acts.append("A repeat scan on a spot.")
    if detail["declared"] == "after":
        acts.append("Fresh units, with the feature declared before they are measured.")
    return tuple(acts)


def cautions(detail: Mapping, doubts: Sequence[str] = ()) -> tuple[str, ...]:
    """What a listener must hear beside the verdict; `doubts` are the reduction's own."""
    said = list(doubts)
    curves = detail.get("curves")
    if curves and curves["unit"] == "area":
        said.append("No usable edge step here: curves are scaled to their mean height.")
    said += bands.softer(detail)
    if detail.get("frozen"):
        said.append(detail["frozen"])
    if detail["declared"] == "after":
        said.append("Found after looking, so the whole curve's price was paid.")
    if detail.get("matters_after"):
        said.append("What matters was named or changed after the first scan, so no verdict rests on it.")
    if not detail["control_named"]:
        said.append(f"No arm is called the control, so {_arms(detail)[0]} was taken as it stands first.")
    if detail["treated_arms"] > 1:
        price = f"{count(detail['treated_arms'])} treated arms share the control"
        said.append(f"{price.capitalize()}; each was judged at a level of {detail['levels']['units']:.2g}.")
    if detail["left_out"]:
        units = _listed([f"{{unit:{unit}}}" for unit in detail["left_out"]])
        said.append(f"Without a partner, and so not among the pairs: {units}.")
    if detail["rungs"]["units"] != "cannot-test" and detail["smallest_p"] > 0.05:
        said.append(f"With these units no reshuffling could give a chance below {detail['smallest_p']:.2g}.")
    said.append("Different units are replicates; repeated scans are not.")
    return tuple(said)


def control_moved(edges: Sequence[str]) -> tuple[str, ...]:
    """A control edge that moved."""
    return (f"{_listed(edges)} should not have moved, but did: suspect the instrument before the chemistry.",)


def summary(family: Sequence, moved: Sequence[str], controls: Sequence[str]) -> str:
    """One line for all edges; `controls` are the control edges that were judged, `moved` those that moved."""
    lit = [_which(a) for a in family if a.verdict == "units"]
    lower = [_which(a) for a in family if a.verdict in ("spots", "scans")]
    steady = [_which(a) for a in family if a.verdict == "no-change"]
    if moved:
        edges = "edge" if len(set(moved)) == 1 else "edges"
        return f"**The control {edges} {_listed(moved)} moved too**, so nothing here is chemistry yet."
    if lit:
        stayed = f"; {_listed(controls)} did not" if controls else ""
        return f"**{_listed(lit)} moved** beyond the scatter of units{stayed}."
    if lower:
        verb = "differs" if len(set(lower)) == 1 else "differ"
        return f"**{_listed(lower)} {verb}** between these specimens; the units cannot say more."
    if any(a.verdict == "not-shown" for a in family):
        return "**No difference shown** beyond the scatter of units."
    if steady:
        return f"{_listed(steady)}: **no change** as large as what was declared to matter."
    return "**We cannot tell yet.**"


def _which(answer) -> str:
    """The edge, and the treated arm where there are several."""
    if answer.detail.get("treated_arms", 1) == 1:
        return answer.edge
    return f"{answer.edge} ({{arm:{answer.detail['treated'][0]}}})"


def _listed(edges: Sequence[str]) -> str:
    edges = list(dict.fromkeys(edges))
    return edges[0] if len(edges) == 1 else ", ".join(edges[:-1]) + " and " + edges[-1]


def _beside(rung: str, judged: bool) -> str:
    """Whose scatter a give-or-take comes from; between its looks a third rung is shown and not judged."""
    if judged:
        return f"judged against {RUNG_WORDS[rung]}"
    return f"beside the scatter of {RUNG_WORDS[rung]} so far, not judged"


def feature_difference(feature: str, rung: str | None, judged: bool = True) -> str:
    """What the feature's difference is, and whose scatter its give-or-take comes from."""
    return f"{feature}, treated minus control" + (f", {_beside(rung, judged)}" if rung else "")


def largest_difference(energy_ev: float, rung: str, judged: bool = True) -> str:
    """Where the curves differ most."""
    return f"largest difference, at {energy_ev:.1f} eV, {_beside(rung, judged)}"


def beyond_its_band(energy_ev: float, rung: str) -> str:
    """Where the curves leave the band, when that is not where they differ most."""
    return f"farthest beyond its band, at {energy_ev:.1f} eV, judged against {RUNG_WORDS[rung]}"


def band_of(name: str, left: bool, rung: str, judged: bool) -> str:
    """What a band is of, whether it leaves zero, and whose scatter it is."""
    return f"{bands.what(name, left if judged else None)}, {_beside(rung, judged)}"


def shape_beyond_its_band(energy_ev: float, rung: str) -> str:
    """Where the shape leaves its own band."""
    return f"shape farthest beyond its band, at {energy_ev:.1f} eV, judged against {RUNG_WORDS[rung]}"


def largest_at() -> str:
    """The energy of it."""
    return "energy of the largest difference"


def half_step(rung: str | None, judged: bool = True) -> str:
    """The rise compared, and whose scatter its give-or-take comes from."""
    return "energy at half a step, treated minus control" + (f", {_beside(rung, judged)}" if rung else "")


def rung_untested(rung: str, why: str) -> str:
    """A rung that cannot be tested."""
    return f"more than {RUNG_WORDS[rung]}: cannot be tested ({why})"


def rung_not_shown(rung: str) -> str:
    """A rung not shown."""
    return f"more than {RUNG_WORDS[rung]}: not shown; this much would have shown four times in five"


def rung_lit(rung: str) -> str:
    """A lit rung."""
    return f"more than {RUNG_WORDS[rung]}: lit"


def units(counts: str, paired: bool) -> str:
    """Who was compared."""
    return f"{counts}, {'in pairs' if paired else 'not paired'}"


def spread(name: str) -> str:
    """A shared term's effect on the difference."""
    what = {"baseline choice": "another sane baseline", "energy tie": "the energy tie"}[name]
    return f"the difference moves with {what} by"


def dead_time(arm: str) -> str:
    """A busy counter, which may differ between arms."""
    return f"light the counter missed on {arm}, at most, before it was corrected"


def height_unit(curve_unit: str) -> str:
    """The unit of a curve in words."""
    return {"step": "edge steps", "area": "mean heights", "ratio": "ratio"}.get(curve_unit, curve_unit)
