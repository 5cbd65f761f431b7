"""The sentences of "What have we got here?": at most twenty words each."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from edgeshift.records.answer import Ref
from edgeshift.wording.element_names import edge_in_words, element_name
from edgeshift.wording.numbers import count

MOST_NAMED = 6
"""A sentence holds so many elements; the rest are counted."""

VERDICTS = {"seen": "seen", "not-seen": "not seen", "cannot-tell": "cannot tell"}
REASONS = {
    "stands": "Its edge stands in its window, and every suspect is excluded.",
    "nothing": "Nothing stands there beyond noise and background.",
    "beam-marks": "Marks of the beam are left in this range; no line pair stands among them.",
    "ghost": "A bump stands there, but its twin is missing: light of a multiple energy fits it.",
    "impostor": "Something stands there, and one suspect explains it as well.",
    "incomplete": "Something stands there, without all that the edge needs beside it.",
    "partner-unscanned": "Its partner lies beyond the scan.",
    "slow-rise": "A slow rise begins there: it has no line to be known by.",
    "rides": "Another element's structure covers its place.",
    "unexplained": "Something else stands there that no smooth background explains.",
    "too-weak-a-test": "The scan is too short or too coarse there.",
    "axis-untied": "Its axis is tied to nothing, and a step has no distance to be known by.",
    "axis-off": "The energy axis is off; tie it before anything is named by its place.",
}
"""Why an element has its verdict."""

STANDS_ALL_THE_SAME = "Its edge stands in its window; not every suspect is excluded yet."
"""Where those who are not yet excluded cannot make all of it."""

IN_SHORT = {
    "impostor": "one suspect explains it as well",
    "incomplete": "something that its edge needs is missing",
    "partner-unscanned": "its partner lies beyond the scan",
    "slow-rise": "only a slow rise begins there",
    "rides": "another element covers its place",
    "unexplained": "something else stands there",
    "too-weak-a-test": "the scan is too short or too coarse there",
    "axis-untied": "its energy axis is tied to nothing",
    "axis-off": "the energy axis is off",
}
"""The same behind a colon, where nobody can tell."""

SUSPECTS = {
    "second-order": "{what} in second order",
    "third-order": "{what} in third order",
    "neighbour": "{what}, its neighbour",
    "rides": "structure above {what}",
    "beam": "marks of mirror and monitor",
    "blank": "the bare mount {what}",
}
WHY = {
    "fits": "its own curve, read at a multiple of the energy, fits",
    "beside": "its light stands beside the lines and bends their ground",
    "twin-stands": "the pair stands {split:.1f} eV apart, and its light has no such twin",
    "not-here": "looked for, and not here",
    "other-shape": "measured here, and its curve does not fit",
    "unmeasured": "never measured here",
    "too-sharp": "it rises slowly; this does not",
    "other-spacing": "its pair would stand {split:.1f} eV apart",
    "same-place": "it would stand at the same place",
    "no-pair": "it would bring a pair {split:.1f} eV apart",
    "no-second-step": "it would bring a second step {split:.1f} eV on",
    "hidden": "nothing can be told beneath it",
    "allowed-for": "its step is allowed for",
    "divided": "divided by the I0 of the same scan, marks fitted away",
    "no-i0": "nothing was divided by I0",
    "divided-elsewhere": "divided before it came here, so nobody can check",
    "beam-marks": "other scans' I0 shows marks that this one's lacks, and they are left",
    "beam-as-large": "the beam's own marks are as large, and a dirty monitor gives half of them back",
    "blank-clean": "measured bare: nothing there",
    "like-the-blank": "{percent:.0f} % of the structure is the bare mount's own",
    "unlike-the-blank": "measured bare: its structure is another",
    "blank-unmeasured": "never measured bare",
    "partner-unscanned": "its partner lies beyond the scan",
}
"""Why a suspect is excluded or not yet."""

WOULD_HAVE_SHOWN = "would have shown"
LINEUP = "Who else could it be?"
NOBODY = "Nobody else was found who could stand here."
NOT_YET, BESIDE, EXCLUDED = "not yet excluded", "here as well", "excluded"
STANDINGS = {"not-yet": NOT_YET, "beside": BESIDE, "excluded": EXCLUDED}
MOST_SPECIMENS = 3
"""So many specimens are named in a row; the rest are counted."""
NO_SCANS = "**No scans yet**, so nothing can be told."
NOTHING_TOLD = "These scans tell of **no element**: no edge stands out and none is excluded."
SURFACE = "Electrons come from the outer few nanometres: fingerprints, dust and weathered skin count."
TABLES = "Tables place {edges} up to {ev:.0f} eV apart, so only windows are trusted, never the nearest edge."
AMOUNTS = "Ratios of atoms hold for what the yield sees; tables, monitor and depth are in their intervals."
LINES_ARE_SHAPES = "Fitted lines are shapes that earn their place; a line is no compound by itself."
AMOUNTS_SHARE_THE_LEVEL = (
    "Amounts are their own family: all elements and arms share its level; every look at units spends it."
)
AMOUNTS_WAIT = {
    "unit": "waits for the next complete unit",
    "unwritten": "this look could not be written in the book: no test",
    "not-looked": "no look had been taken by then: no test yet",
    "other-reference": "judged against {judges}, as at the first look; another reference is another look",
}
"""Why amounts of two arms are not judged."""
UNTIED = "Absolute energy unreliable: a file does not say how its axis was tied; distances hold."
TIE_AXIS = "Measure a standard whose peak is published, and tie the energies to it."
NOT_ITS_OWN = "What is read off {where} here, tops and lines too, may not be {element}'s own."
STILL = {
    "not-yet": "What is read off {where} may hold {suspect}, which is not yet excluded.",
    "beside": "What is read off {where} holds {suspect} as well: it bends the ground of the lines.",
}
MEASURE_BLANK = "Scan the bare mount over {edge}."
OTHER_MOUNT = "Mount it on something that has none of this, then scan {edge} again."
SCAN_ON = "Scan on to {ev:.0f} eV: the partner decides."
SCAN_FINER = "Scan {edge} on its own, finer and longer."
OTHER_ORDER = "Change the filter or the mirror, then scan {edge} again."


def sentence(elements: Mapping[str, Mapping[str, Any]]) -> str:
    """What is here, in one sentence, from `detail["elements"]`; only those that were asked for or stand
    out."""
    seen = [e for e, told in elements.items() if told["verdict"] == "seen"]
    doubt = [e for e, told in elements.items() if told["verdict"] == "cannot-tell" and told["asked"]]
    absent = [e for e, told in elements.items() if told["verdict"] == "not-seen" and told["asked"]]
    most = MOST_NAMED - min(len(doubt), 2) - min(len(absent), 1)
    groups = (("Seen", seen, most), ("Cannot tell", doubt, 3), ("Not seen", absent, 2 if seen else 4))
    parts = [f"{head}: {_named(symbols, many)}." for head, symbols, many in groups if symbols]
    if not parts:
        return NOTHING_TOLD
    head, _, names = parts[0][:-1].partition(": ")
    return " ".join([f"{head}: **{names}**.", *parts[1:]])


def one_element(symbol: str, told: Mapping[str, Any]) -> str:
    """The sentence for one element, as its own edge is asked for."""
    name = element_name(symbol)
    if told.get("doubted_in"):
        return _specimen_by_specimen(symbol, told)
    if told["verdict"] == "seen":
        still = [each["name"] for each in told["impostors"] if each["status"] == "not-yet"]
        tail = f"; not yet excluded: {still[0]}" if still else ""
        return f"**{name.capitalize()}** is here: its edge stands where it belongs{tail}."
    if told["reason"] == "ghost":
        source = next(i["what"] for i in told["impostors"] if i["reason"] == "fits")
        origin = element_name(source.split()[0])
        return (
            f"This looks like {name} but its twin is missing. Suspect double-energy light from **{origin}**."
        )
    if told["verdict"] == "not-seen":
        return f"No **{name}** seen. More than {percent(told['limit'])} of the ground would have shown."
    return f"Cannot tell whether **{name}** is here: {IN_SHORT[told['reason']]}."


def _specimen_by_specimen(symbol: str, told: Mapping[str, Any]) -> str:
    """The sentence where specimens differ: who has it, and of whom nobody can tell, and why."""
    name, doubted = element_name(symbol), told["doubted_in"]
    own = {key: one for key, one in told["specimens"].items() if one["at_edge"] and not one["blank"]}
    same = [key for key, one in own.items() if one["verdict"] == told["verdict"]]
    where = specimens(same or [told["specimen"]])
    head = (
        f"**{name.capitalize()}** is seen in {where}"
        if told["verdict"] == "seen"
        else (f"No **{name}** seen in {where}")
    )
    return f"{head}; cannot tell in {specimens(doubted)}: {_why_in_short(told['specimens'][doubted[0]])}."


def _why_in_short(one: Mapping[str, Any]) -> str:
    """Why nobody can tell in one specimen, with the suspect's name where there is one."""
    decisive = next((each["name"] for each in one["suspects"] if each["status"] == "not-yet"), None)
    if one["reason"] == "impostor" and decisive:
        return f"{decisive} explains it as well"
    return IN_SHORT[one["reason"]]


def specimens(names: Sequence[str], most: int = 2) -> str:
    """Specimens in a row, to be named later; what would be too many is counted."""
    told = [Ref("specimen", key).token() for key in names]
    if len(told) > most:
        told = [*told[: most - 1], f"{count(len(told) - most + 1)} more"]
    return told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"


def reason_sentence(told: Mapping[str, Any]) -> str:
    """Why an element has its verdict."""
    still = any(each["status"] == "not-yet" for each in told["impostors"])
    return STANDS_ALL_THE_SAME if told["reason"] == "stands" and still else REASONS[told["reason"]]


def doubt_words(symbol: str, key: str, one: Mapping[str, Any]) -> str:
    """Why nobody can tell in one specimen, although somebody can in another."""
    return f"cannot tell whether {element_name(symbol)} is in {specimens([key])}: {_why_in_short(one)}"


def not_its_own(symbol: str, told: Mapping[str, Any] | None, names: Sequence[str | None]) -> Iterator[str]:
    """Cautions about what is read off an edge where the element itself is not sure, or its ground is bent."""
    if told is None:
        return
    own = {key: one for key, one in told["specimens"].items() if key in names and not one["blank"]}
    unsure = [key for key, one in own.items() if one["verdict"] != "seen"]
    if unsure:
        yield NOT_ITS_OWN.format(where=specimens(unsure), element=element_name(symbol))
    for each in told["impostors"]:
        here = [key for key in each["specimens"] if key in own and key not in unsure]
        if here and each["status"] in STILL:
            yield STILL[each["status"]].format(where=specimens(here), suspect=each["name"])


def percent(share: float) -> str:
    """A share as people read it, with the digits that a limit earns."""
    text = f"{100.0 * share:.2g}" if share < 0.995 else f"{100.0 * share:.0f}"
    return f"{text} %"


def fact_words(symbol: str, told: Mapping[str, Any]) -> str:
    """What the number of an element's fact is."""
    name = element_name(symbol)
    where = f" in {specimens([told['specimen']])}" if told.get("specimen") else ""
    if told["verdict"] == "not-seen":
        return f"{name} not seen at {told['edge']}{where}; this much above the ground would have shown"
    what = {"seen": f"{name} seen at {told['edge']}{where}"}.get(
        told["verdict"], f"cannot tell whether {name} is{where or ' here'}"
    )
    return (
        what
        if told["verdict"] == "seen"
        else f"{what}: {told['sentence'][0].lower()}{told['sentence'][1:-1]}"
    )


def suspect(kind: str, what: str) -> str:
    """Who a suspect is."""
    if kind == "blank" and not what:
        return "tape, foil or holder"
    named = what if what.startswith("{") else edge_in_words(what)
    return SUSPECTS[kind].format(what=named)


def why(reason: str, numbers: Mapping[str, Any]) -> str:
    """Why the suspect is excluded or not yet."""
    return WHY[reason].format(**{"split": 0.0, **numbers})


def suspect_line(impostor: Mapping[str, Any]) -> str:
    """One suspect with its standing, as a line of text."""
    return f"{suspect_name(impostor)}: {STANDINGS[impostor['status']]} ({impostor['why']})"


def suspect_name(impostor: Mapping[str, Any]) -> str:
    """Who a suspect is, and in which specimens it is one."""
    where = impostor.get("specimens")
    return f"{impostor['name']}, in {specimens(where, MOST_SPECIMENS)}" if where else impostor["name"]


def ratio_words(element: str, reference: str, specimen: str, low: float, high: float) -> str:
    """What the number of a ratio is, with its interval."""
    where = f" in {specimen}" if specimen != "{specimen:}" else ""
    who = f"{element_name(element)} for each atom of {element_name(reference)}"
    return f"{who}{where}, from {low:.2g} to {high:.2g}"


def arms_words(one: Mapping[str, Any], treated: str, control: str) -> str:
    """One element's amount between two arms, from units, as of its last look."""
    said = f"{element_name(one['element'])}, {treated} over {control}"
    if one["state"] == "cannot-test":
        return f"{said}: cannot be tested, too few units"
    if one["state"] == "waits":
        return f"{said}: {AMOUNTS_WAIT[one['why']].format(judges=element_name(one['reference']))}"
    told = "more than other units" if one["state"] == "lit" else "not shown beyond other units"
    looks = f" (look {count(one['looks'])})" if one["looks"] else ""
    return f"{said}, from {one['low']:.2g} to {one['high']:.2g} times: {told}{looks}"


def lines_words(where: str, centres_ev: Sequence[float]) -> str:
    """Where the fitted lines of a spot stand; the numbers with their give-or-take are in the detail."""
    if not centres_ev:
        return f"{where}: no line earns its place beside the step"
    return f"{where}: lines at {', '.join(f'{at:.1f}' for at in sorted(centres_ev))} eV earn their place"


UNRELIABLE = "absolute energy unreliable"
LINE_RATIOS = {
    "raw-maxima": "largest reading in each, nothing taken away",
    "maxima-above-steps": "largest value in each, after steps of 2/3 and 1/3 were taken away",
    "areas-above-steps": "area of each, after steps of 2/3 and 1/3 were taken away",
}
"""How one line of a pair is compared with the other; each gives another number."""
FEATURES = {
    "ratio": "mean over {0} divided by mean over {1}",
    "height": "mean over {0}",
    "area": "area over {0}",
    "centroid": "mean energy, weighted by absorption, over {0}",
    "position": "highest place over {0}",
    "line-ratio": "area over {0} divided by that over {1}, steps of 2/3 and 1/3 taken away",
}
FOILS_APART = "The foils behind them stand up to {ev:.2f} eV apart, so half steps are not ranked yet."
TIE_FOIL = (
    "edgeshift note FOLDER tie --scan {scan} --shift-ev {shift:+.2f} --sigma-ev 0.02"
    " --source 'the foil behind it' --reason 'foils stand apart'"
)
MOST_TIES = 12


def half_step_words(where: str, untied: bool, lines_before: bool) -> str:
    """What the number of a half step is."""
    before = " (a line in front of the edge reaches it too)" if lines_before else ""
    return f"{where}: half a step{before} stands at" + (f" ({UNRELIABLE})" if untied else "")


def tops_words(where: str, places_ev: Sequence[float], untied: bool) -> str:
    """Where a curve stands highest, with no shape fitted."""
    told = f"{where}: tops at {', '.join(f'{at:.1f}' for at in places_ev)} eV"
    return told + (f" ({UNRELIABLE})" if untied else "")


def line_ratio_words(where: str, lines: str, told: Mapping[str, Any], untied: bool) -> str:
    """What the number of a ratio of two lines is: its definition and its windows."""
    over = " and ".join(window_words(window) for window in told["windows"])
    said = f"{where}: {lines}, {LINE_RATIOS[told['definition']]}, over {over}"
    return said + (f" ({UNRELIABLE})" if untied else "")


def window_words(window: Sequence[float]) -> str:
    """A window in eV."""
    return f"{window[0]:.1f} to {window[1]:.1f} eV"


def feature_words(where: str, told: Mapping[str, Any], said: str) -> str:
    """What a declared feature's number is: the group's words and what is read where."""
    windows = [window_words(window) for window in told["windows"]]
    what = FEATURES[told["kind"]].format(*windows)
    return f"{where}: {said}, {what}" if said else f"{where}: {what}"


def rank_words(names: Sequence[str], apart: Sequence[bool]) -> str:
    """Specimens by their half step, the lowest first; those that are not told apart stand together."""
    text = names[0]
    for name, far in zip(names[1:], apart[1:], strict=True):
        text += f" before {name}" if far else f", not told apart from {name}"
    return f"by half a step: {text}"


def foil_words(where: str) -> str:
    """What the number of a foil is."""
    return f"{where}: the foil behind it first rises steepest at"


def tie_acts(shifts: Mapping[str, float]) -> tuple[str, ...]:
    """What to type to bring all foils to one place, a line for each scan."""
    return tuple(
        TIE_FOIL.format(scan=f"{{scan:{scan}}}", shift=shift)
        for scan, shift in list(shifts.items())[:MOST_TIES]
    )


def calibrated_words(told: Mapping[str, Any], where: str) -> str:
    """What a published line gives, or why nothing."""
    said = f"{told['gives']}, {where}"
    return f"{said}: {told['reason']}" if told["reason"] else said


def calibration_caution(told: Mapping[str, Any]) -> str:
    """Where a calibration comes from, and what it says of saturation."""
    return f"From {told['source']}. {told['saturation']}"


def axis(shift_ev: float, half_ev: float, edges: Sequence[str], several: bool) -> str:
    """What is said of an axis that is off: by how much, with its give-or-take, and from which edges."""
    way = "high" if shift_ev > 0 else "low"
    told = f"{', '.join(edges[:-1])} and {edges[-1]} together stand" if several else f"{edges[0]} stands"
    tail = "the energy axis is off" if several else "the axis, or another element"
    about = f"about {abs(shift_ev):.0f} eV too {way}, give or take {half_ev:.1f} eV"
    return f"{told} {about}: {tail}; nothing was moved."


def disagreement(edges: Sequence[tuple[str, float]]) -> str:
    """The caution about edges that the tables place far apart."""
    return TABLES.format(edges=", ".join(name for name, _ in edges), ev=max(far for _, far in edges))


def lineup_title(symbol: str, told: Mapping[str, Any]) -> str:
    """The head of a line-up: the element and its edge."""
    return f"{element_name(symbol).capitalize()}, {told['edge'].partition(' ')[2]} edge"


def verdict_words(told: Mapping[str, Any]) -> str:
    """The verdict with what it rests on, in few words."""
    doubt = f"; cannot tell in {specimens(told['doubted_in'])}" if told.get("doubted_in") else ""
    if told["verdict"] == "not-seen":
        twin = ", its twin is missing" if told["reason"] == "ghost" else ""
        return f"not seen{twin}; more than {percent(told['limit'])} would have shown{doubt}"
    where = f" in {specimens([told['specimen']])}" if doubt else ""
    return f"{VERDICTS[told['verdict']]}{where}{doubt}"


def short_verdict(told: Mapping[str, Any]) -> str:
    """The verdict under a small mark."""
    return f"under {percent(told['limit'])}" if told["verdict"] == "not-seen" else VERDICTS[told["verdict"]]


def rest(elements: Mapping[str, Mapping[str, Any]], shown: Collection[str]) -> str:
    """What stands in no mark of its own."""
    others = [told for symbol, told in elements.items() if symbol not in shown]
    absent = [told["limit"] for told in others if told["verdict"] == "not-seen"]
    hidden = len(others) - len(absent)
    parts = [f"{len(absent)} more not seen, with limits up to {percent(max(absent))}"] if absent else []
    parts += [f"of {hidden} nothing can be told" if absent else f"of {hidden} more nothing can be told"] * (
        hidden > 0
    )
    return "; ".join(parts)


def element_alt(symbol: str, told: Mapping[str, Any]) -> str:
    """One element in the alternative text."""
    return f"{element_name(symbol)}: {verdict_words(told)}"


def element_with_number(symbol: str, told: Mapping[str, Any]) -> str:
    """One element with its verdict and the number behind it."""
    said = element_alt(symbol, told)
    if told["verdict"] == "not-seen":
        return said
    return f"{said}, {_amount(told) if told.get('amount') is not None else IN_SHORT[told['reason']]}"


def element_lines(elements: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """A table of the elements for a terminal: those asked for or standing out, each with its suspects."""
    lines = []
    for symbol, told in elements.items():
        if told["verdict"] == "not-seen" and not told["asked"]:
            continue
        where = f", in {specimens([told['specimen']])}" if told.get("specimen") else ""
        lines.append(f"  {symbol:<3}{VERDICTS[told['verdict']]:<13}{_amount(told):<36}{told['edge']}{where}")
        for key in told.get("doubted_in", ()):
            why = _why_in_short(told["specimens"][key])
            lines.append(f"     {VERDICTS['cannot-tell']} in {specimens([key])}: {why}")
        lines += [f"       {suspect_line(each)}" for each in told["impostors"]]
    others = [told for told in elements.values() if told["verdict"] == "not-seen" and not told["asked"]]
    if others:
        least, most = (percent(pick(told["limit"] for told in others)) for pick in (min, max))
        many = "1 other" if len(others) == 1 else f"{len(others)} others"
        span = least if least == most else f"from {least} to {most}"
        lines.append(f"  {many} not seen; {span} of the ground would have shown")
    return lines


def _amount(told: Mapping[str, Any]) -> str:
    if told["verdict"] == "not-seen":
        return f"more than {percent(told['limit'])} would have shown"
    if told.get("amount") is None:
        return IN_SHORT.get(told["reason"], REASONS[told["reason"]].rstrip("."))
    return f"{100 * told['amount']:.3g} % above its ground"


def _named(symbols: Sequence[str], most: int) -> str:
    """Names in a row; what would be too many is counted."""
    names = [element_name(symbol) for symbol in symbols]
    if len(names) > max(most, 1):
        keep = max(most - 1, 1)
        names = [*names[:keep], f"{count(len(names) - keep)} more"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
