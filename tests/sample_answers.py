"""Invented answers in every state a picture must bear: an arctangent step with peaks, unit by unit."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from edgeshift.questions import begin, say
from edgeshift.questions.say import Change
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.answer import Answer
from edgeshift.records.event import Event
from edgeshift.records.room import Claim
from edgeshift.records.shift_state import replay

ENERGY = np.linspace(1558.0, 1598.0, 320)
READ = {"kind": "ratio", "windows": [[1566.0, 1566.4], [1568.0, 1568.4]], "unit": "ratio"}


def _curve(early: float, rough: float, seed: int) -> np.ndarray:
    """Invented: one step at 1566 eV, two peaks, a slow swell, some noise."""
    x = ENERGY
    step = 0.5 + np.arctan((x - 1566.3 + early) / 0.6) / math.pi
    peaks = 0.75 * np.exp(-(((x - 1568.2 + 0.8 * early) / 1.1) ** 2))
    peaks += (0.65 - 0.25 * early) * np.exp(-(((x - 1571.7) / 1.7) ** 2))
    swell = 0.18 * np.exp(-(((x - 1590 + 6 * early) / 7) ** 2))
    return step + peaks + swell + rough * np.random.default_rng(seed).standard_normal(x.size)


def _listed(value: np.ndarray, half: np.ndarray) -> dict[str, list[float]]:
    return {"value": value.tolist(), "low": (value - half).tolist(), "high": (value + half).tolist()}


def curves(rough: float = 0.004, half: float = 0.03, unit: str = "step", size: float = 1.0) -> dict[str, Any]:
    """Two invented arms and their difference with bands."""
    control, treated = size * _curve(0.0, rough, 1), size * _curve(1.0, rough, 2)
    wide = size * half * (1 + np.abs(np.gradient(control, ENERGY)) / size)
    shape = 0.4 * (treated - control)
    lower = {"full": (treated - control, 1.5 * wide), "shape": (shape, 0.7 * wide)}
    beyond = {name: _beyond(*both) for name, both in lower.items() if np.any(abs(both[0]) > both[1])}
    return {
        "unit": unit,
        "band_of": "units",
        "energy_ev": ENERGY.tolist(),
        "control": _listed(control, wide),
        "treated": _listed(treated, wide),
        "difference": _listed(*lower["full"]),
        "shape": _listed(*lower["shape"]),
        "judged": True,
        "passed": list(beyond),
        "beyond": beyond,
    }


def _beyond(value: np.ndarray, half: np.ndarray) -> dict[str, Any]:
    """One stretch from the first to the last point whose band leaves zero."""
    out = np.flatnonzero(abs(value) > half)
    ends = [float(ENERGY[out[0]]), float(ENERGY[out[-1]])]
    return {"farthest_ev": float(ENERGY[np.argmax(abs(value) / half)]), "stretches": [ends]}


def dots(counts: dict[str, int], names: str = "{arm}-{letter}", seed: int = 5) -> list[dict[str, Any]]:
    """Units with two spots of one or two scans; the first arm reads about 0.33, each next 0.63 more."""
    draw = np.random.default_rng(seed)
    found, number = [], 0
    for place, (arm, count) in enumerate(counts.items()):
        for index in range(count):
            letter = chr(ord("A") + index)
            middle = 0.33 + 0.63 * place + 0.05 * draw.standard_normal()
            spots = []
            for spot in range(2):
                here = middle + 0.03 * draw.standard_normal()
                scans = [here + 0.012 * float(draw.standard_normal()) for _ in range(2 - spot)]
                spots.append({"spot": str(spot + 1), "value": here, "scans": scans})
            name = names.format(arm=arm.upper(), letter=letter)
            found.append({"arm": arm, "unit": name, "pair": letter, "value": middle, "spots": spots})
            number += 1
    return found


def real(**changes: Any) -> Answer:
    """Three lit rungs at Al K, three pairs; `changes` replace parts of the detail, or the sentence."""
    told = changes.pop("sentence", "All **three pairs** moved the same way, far beyond their own scatter.")
    detail = {
        "edge": "Al K",
        "control": "raw",
        "treated": ["fired"],
        "paired": True,
        "rungs": {"scans": "lit", "spots": "lit", "units": "lit"},
        "rung_words": {},
        "would_have_shown": {},
        "feature": READ
        | {"words": "height at 1566.2 ÷ at 1568.2 eV", "difference": 0.63, "low": 0.5, "high": 0.76},
        "declared": "before",
        "curves": curves(),
        "dots": dots({"raw": 3, "fired": 3}),
    }
    return Answer("real", "units", told, "Al K", detail=detail | changes)


def mixed() -> Answer:
    """Scans lit, spots not shown, units cannot be tested: one pot each."""
    return real(
        sentence="These two differ. One unit each cannot tell us why.",
        rungs={"scans": "lit", "spots": "not-shown", "units": "cannot-test"},
        rung_words={"units": "one pot each: no test"},
        would_have_shown={"spots": 0.21},
        dots=dots({"raw": 1, "fired": 1}),
        declared="after",
    )


def unpaired() -> Answer:
    """Two units against five, nothing split before treating."""
    return real(
        sentence="No difference shown between {arm:raw} and {arm:fired} beyond the scatter of their units.",
        paired=False,
        dots=dots({"raw": 2, "fired": 5}),
        rungs={"scans": "lit", "spots": "lit", "units": "not-shown"},
        would_have_shown={"units": 0.31},
    )


def blind() -> Answer:
    """Two pairs: a band so wide that it says almost anything."""
    both, wide = curves(), curves(rough=0.02, half=3.0)
    both |= {name: wide[name] for name in ("difference", "shape", "passed", "beyond")}
    return real(curves=both, judged_by="curve", declared="after", dots=dots({"raw": 2, "fired": 2}))


def four_arms() -> Answer:
    """One control, three treatments, on one picture."""
    both = curves()
    for place, arm in enumerate(("smoked", "slow fire")):
        value = _curve(0.4 + 0.3 * place, 0.004, 10 + place)
        both.setdefault("others", {})[arm] = _listed(value, np.full(value.size, 0.03))
    return real(
        treated=["fired", "smoked", "slow fire"],
        curves=both,
        dots=dots({"raw": 2, "fired": 2, "smoked": 2, "slow fire": 2}),
        question_to_room="Is that the firing, or the place it was dug?",
    )


def long_names() -> Answer:
    """Names far longer than a picture has room for."""
    long = {"raw": "raw river clay from the lower bank", "fired": "fired in the pit with wet oak, second day"}
    units = dots({"raw": 3, "fired": 3}, names="{arm} bowl of the third table, piece {letter}")
    for unit in units:
        unit["arm"], unit["pair"] = long[unit["arm"]], f"third table by the window, {unit['pair']}"
    return real(
        control=long["raw"],
        treated=[long["fired"]],
        dots=units,
        feature=READ
        | {"words": "mean height from 1566.0 to 1566.4 divided by mean height from 1568.0 to 1568.4 eV",
           "difference": 0.63, "low": 0.5, "high": 0.76},
    )  # fmt: skip


def empty() -> Answer:
    """One arm only: no curves, no feature, no dots."""
    return Answer(
        "real",
        "cannot-tell",
        "Only one arm has kept scans at Si K, so nothing can be compared.",
        "Si K",
        would_change_it=("Measure {arm:fired} at Si K.",),
        detail={
            "edge": "Si K",
            "rungs": {"scans": "cannot-test", "spots": "cannot-test", "units": "cannot-test"},
        },
    )


def hostile() -> Answer:
    """Names that would like to be markup."""
    bad = "<script>alert('x')</script> & \"quoted\" \N{POTABLE WATER SYMBOL}\x00"
    units = dots({"raw": 2, "fired": 2})
    for unit in units:
        unit["unit"] = unit["pair"] = bad
        unit["arm"] = {"raw": bad, "fired": bad + "2"}[unit["arm"]]
    feature = READ | {"words": bad, "difference": 0.6, "low": 0.5, "high": 0.7}
    return real(
        sentence=f"They differ: {bad}.", control=bad, treated=[bad + "2"], dots=units, feature=feature
    )


def overview() -> Answer:
    """Forty-six scans at five edges, some with a note, three set aside."""
    scans, number = {}, 0
    why = {
        9: "the beam dropped at 1571 eV",
        14: "it stops before the white line",
        31: "the meter was at its ceiling",
    }
    for edge, count in (("Al K", 18), ("Fe L", 12), ("K L", 6), ("Ti L", 6), ("Si K", 4)):
        for _ in range(count):
            number += 1
            verdict = "set-aside" if number in why else "keep-with-a-note" if number % 11 == 0 else "keep"
            reasons = [{"code": "x", "sentence": why[number]}] if number in why else []
            if verdict == "keep-with-a-note":
                reasons = [{"code": "injection", "sentence": "one blip, as fresh electrons came in"}]
            scans[f"shift_{number:04d}.dat"] = {
                "scan": f"scan {number}", "edge": edge, "verdict": verdict, "by": "tool", "reasons": reasons,
            }  # fmt: skip
    told = "**Three scans** are set aside, each with its reason; 43 are kept."
    return Answer("trust", "some-set-aside", told, detail={"scans": scans, "trace": None})


def trace() -> Answer:
    """One invented iron scan with two blips of one cause and one of another."""
    x = np.linspace(699.0, 731.0, 260)
    y = 0.2 + 0.5 * (0.5 + np.arctan((x - 707.5) / 0.5) / math.pi)
    y += 1.6 * np.exp(-(((x - 709.5) / 0.9) ** 2)) + 0.5 * np.exp(-(((x - 722.6) / 1.8) ** 2))
    y += 0.02 * np.random.default_rng(3).standard_normal(x.size)
    y[[138, 150]] += 0.25
    flags = [
        {"energy_ev": float(x[138]), "code": "injection", "words": "one blip, as fresh electrons came in"},
        {"energy_ev": float(x[150]), "code": "injection", "words": "one blip, as fresh electrons came in"},
        {"energy_ev": float(x[240]), "code": "clipped", "words": "at its ceiling"},
    ]
    shown = {
        "scan": "scan 17", "file": "shift_0017.dat", "energy_ev": x.tolist(), "value": y.tolist(),
        "sigma": (0.02 + 0.03 * np.sqrt(y)).tolist(), "flags": flags, "unit": "ratio",
    }  # fmt: skip
    told = "**Keep.** This first trace of iron is complete and quiet."
    asked = {"scans": {}, "trace": shown}
    return Answer("trust", "all-kept", told, "Fe L", detail=asked)


def autopsy() -> Answer:
    """Two invented scans that differ mostly by a slide."""
    first, second = _curve(0.0, 0.004, 1), _curve(0.12, 0.004, 2)
    parts = [
        {"code": "gain", "value": 0.012, "sigma": 0.004, "unit": "of the height", "share": 0.08},
        {"code": "offset", "value": 0.003, "sigma": 0.002, "unit": "steps", "share": 0.04},
        {"code": "slope", "value": 0.0004, "sigma": 0.0003, "unit": "steps per eV", "share": 0.03},
        {"code": "slide", "value": -0.118, "sigma": 0.008, "unit": "eV", "share": 0.71},
        {"code": "blur", "value": 0.05, "sigma": 0.03, "unit": "eV", "share": 0.06},
        {"code": "left", "value": 0.011, "sigma": 0.003, "unit": "steps", "share": 0.08},
    ]
    noise = [0.006] * len(ENERGY)
    taken = {
        "parts": parts, "main": "slide", "energy_ev": ENERGY.tolist(), "first": first.tolist(),
        "second": second.tolist(), "left": (0.2 * (second - first)).tolist(), "unit": "step",
        "first_sigma": noise, "second_sigma": noise, "left_sigma": noise, "names": ["scan 3", "scan 8"],
    }  # fmt: skip
    told = "The later scan **slid 0.12 eV** down; little else changed."
    return Answer("trust", "all-kept", told, "Al K", detail={"autopsy": taken})


def autopsy_found() -> Answer:
    """The same two scans, of which three things were found, in numbers as small as currents are."""
    found = [
        (
            "slide-of-energy",
            "Since {scan:scan 5} everything slid +0.12 eV, give or take 0.02: energy scale.",
        ),
        ("charging", "Its yield sags by 26 %, give or take 2; fluorescence does not: charging."),
        ("damage", "Two scans of one spot change shape by 8 %, give or take 2: damage?"),
    ]
    findings = [
        {"code": code, "sentence": said, "next": "Check a standard, then tie it with a cited value.",
         "scans": ["scan 3", "scan 8"] if code == "damage" else ["scan 8"], "numbers": {}}
        for code, said in found
    ]  # fmt: skip
    bare = autopsy()
    taken = dict(bare.detail["autopsy"])
    taken["parts"] = [
        {**part, "value": 1e-10 * part["value"], "sigma": 1e-10 * part["sigma"], "unit": "ratio"}
        if part["code"] in ("offset", "slope", "left") else part
        for part in taken["parts"]
    ]  # fmt: skip
    told = "{scan:scan 8} differs from {scan:scan 3} **mostly by a slide in energy**: -0.118 eV."
    return replace(bare, sentence=told, detail={"autopsy": taken, "findings": findings})


def edges() -> list[Answer]:
    """One answer an edge, in different states, and the one that sums up."""
    wanted = {
        "Al K": ("units", ("lit", "lit", "lit")),
        "Fe L": ("units", ("lit", "lit", "lit")),
        "K L": ("scans", ("lit", "not-shown", "not-shown")),
        "Ti L": ("not-shown", ("not-shown", "not-shown", "not-shown")),
        "Si K": ("cannot-tell", ("lit", "cannot-test", "cannot-test")),
    }
    found = []
    for edge, (verdict, states) in wanted.items():
        rungs = dict(zip(("scans", "spots", "units"), states, strict=True))
        detail = {"edge": edge, "rungs": rungs, "declared": "before" if edge != "Si K" else "after"}
        found.append(Answer("real", verdict, "It stands.", edge, detail=detail))
    told = "**Aluminium and iron** moved beyond their units; potassium and titanium did not."
    return [*found, Answer("real", "units", told)]


def _suspect(kind: str, name: str, excluded: bool, why: str, reason: str, what: str) -> dict:
    status = "excluded" if excluded else "not-yet"
    return {
        "kind": kind,
        "what": what,
        "name": name,
        "status": status,
        "reason": reason,
        "why": why,
        "numbers": {},
    }


def _element(
    edge: str, at: float, verdict: str, reason: str = "stands", suspects: list | None = None, **more
) -> dict:
    told = {
        "verdict": verdict, "reason": reason, "sentence": "It stands there.", "edge": edge, "at_ev": at,
        "kind": "step", "limit": 0.039 if verdict == "not-seen" else None, "amount": None, "sigma": None,
        "asked": True, "impostors": suspects or [], "specimens": {}, "scan": "scan-041", "split_ev": None,
        "width_ev": None, "window_ev": [at - 4.0, at + 12.0],
    }  # fmt: skip
    return told | more


def presence() -> Answer:
    """Five elements that were asked for, two more not seen, and barium's line-up."""
    suspects = [
        _suspect("second-order", "aluminium K in second order", False, "its own curve, read at a multiple of"
                 " the energy, fits", "fits", "Al K"),
        _suspect("blank", "the bare mount {specimen:INDIUM}", True, "measured bare: nothing there",
                 "blank-clean", "{specimen:INDIUM}"),
        *(_suspect("third-order", f"element {n} in third order", True, "looked for, and not here", "not-here",
                   "Ni L") for n in range(14)),
    ]  # fmt: skip
    elements = {
        "C": _element("C K", 290.8, "cannot-tell", "impostor"),
        "K": _element("K L", 297.4, "seen"),
        "Fe": _element("Fe L", 709.0, "seen"),
        "Al": _element("Al K", 1565.5, "seen"),
        "Ba": _element("Ba M", 780.5, "not-seen", "ghost", suspects),
        "Mn": _element("Mn L", 638.7, "not-seen", "nothing", asked=False),
        "Ni": _element("Ni L", 852.7, "not-seen", "nothing", asked=False),
    }
    told = "Seen: **potassium, iron and aluminium**. Cannot tell: carbon. Not seen: barium."
    return Answer("here", "partly", told, detail={"elements": elements, "shown": "Ba"})


def ghost() -> Answer:
    """Barium's own scan: a small hill without a twin."""
    whole = presence()
    x = np.linspace(770.0, 805.0, 220)
    y = 1.0 - 0.002 * (x - 770.0) + 0.02 * np.exp(-(((x - 784.5) / 1.6) ** 2))
    y += 0.008 * np.random.default_rng(5).standard_normal(x.size)
    would = 1.0 - 0.002 * (x - 770.0) + 0.039 * np.exp(-(((x - 783.5) / 1.0) ** 2))
    shown = {
        "scan": "scan-041", "energy_ev": x.tolist(), "value": y.tolist(), "sigma": 0.008,
        "at_ev": [783.5, 798.7], "would_have_shown": would.tolist(), "unit": "of its ground",
    }  # fmt: skip
    told = "This looks like barium but its twin is missing. Suspect double-energy light from **aluminium**."
    return Answer("here", "answered", told, "Ba M", detail=dict(whole.detail) | {"trace": shown})


def _share(value: float, low: float, high: float, formal: float) -> dict[str, Any]:
    near = {str(inside): [value - (value - low) * part, value + (high - value) * part]
            for inside, part in ((80, 0.6), (50, 0.3))}  # fmt: skip
    return {"value": value, "low": low, "high": high, "formal": {"value": formal, "half": 0.004},
            "limit": 0.06, "inner": near, "shelf": False, "slide_ev": 0.1, "height": 0.1}  # fmt: skip


def shares(**changes: Any) -> Answer:
    """Four invented references in one specimen, one of them nearly not there, one with a long name."""
    left = 0.02 * np.sin(ENERGY)
    said = "{specimen:RAW-B} is between about **25 and 60 percent** {specimen:kaolinite}, depending on which"
    detail = {
        "specimen": "RAW-B",
        "alone": False,
        "shares": {
            "kaolinite": _share(0.41, 0.25, 0.6, 0.44),
            "a metakaolin fired slowly": _share(0.33, 0.1, 0.5, 0.36),
            "gibbsite": _share(0.24, 0.15, 0.34, 0.97),
            "albite": _share(0.0, 0.0, 0.08, 0.0),
        },
        "sum": {"value": 0.98, "low": 0.9, "high": 1.07},
        "curves": {"unit": "step", "energy_ev": ENERGY.tolist(), "value": _curve(0.0, 0.004, 1).tolist(),
                   "sigma": np.full(ENERGY.size, 0.01).tolist(), "fit": _curve(0.0, 0.0, 1).tolist(),
                   "left": left.tolist()},
        "missing": {"reference": "gibbsite", "misfit_ratio": 4.0, "explained": 0.9, "f": 90.0,
                    "farthest_ev": 1568.0, "left": (8 * left).tolist()},
        **changes,
    }  # fmt: skip
    return Answer("here", "partly", f"{said} references we trust.", "Al K", detail=detail)


def shares_map() -> Answer:
    """An invented map of the same."""
    down, across = np.mgrid[0:1:72j, 0:1:96j]
    fields = {"kaolinite": np.exp(-8 * ((across - 0.4) ** 2 + down**2)), "gibbsite": across * down}
    fields["kaolinite"][10, 10] = np.nan
    listed = {name: [[None if math.isnan(v) else v for v in row] for row in one.tolist()]
              for name, one in fields.items()}  # fmt: skip
    told = {"count": 6912, "gaps": 1, "pixels": [72, 96], "baseline": "level", "file": "shares.h5",
            "fields": listed, "means": {"kaolinite": 0.3, "gibbsite": 0.25},
            "tops": {"kaolinite": 1.0, "gibbsite": 1.0}}  # fmt: skip
    return shares(map=told)


def shares_series() -> Answer:
    """An invented series of the same."""
    along = np.arange(1.0, 401.0)
    rows = {name: {"value": one.tolist(), "low": (one - 0.02).tolist(), "high": (one + 0.02).tolist()}
            for name, one in (("kaolinite", 1 - along / 500), ("gibbsite", along / 500))}  # fmt: skip
    told = {"count": 400, "gaps": 0, "pixels": [400], "baseline": "level", "file": "shares.h5",
            "along": along.tolist(), "series": rows,
            "means": {"kaolinite": 0.6, "gibbsite": 0.4}}  # fmt: skip
    return shares(map=told)


def _pumping(mbar: np.ndarray, began: bool = True, isolations: tuple = (), limit: float = 1e-6) -> Answer:
    """Invented readings of a load lock, answered as any others."""
    minutes = np.arange(2.0, 2.0 + mbar.size)
    told = {"load": "one", "file": None, "zero": None, "began": began}
    told |= {"minutes": minutes.tolist(), "mbar": mbar.tolist()}
    events = [Event(1, "2026-03-01T08:00:00Z", "pressure", "host", "", told)]
    for at, rise in isolations:
        shut = {"load": "one", "at_min": at, "seconds": [0, 60], "mbar": [1e-6, 1e-6 + 60 * rise]}
        events.append(Event(2, "2026-03-01T08:00:00Z", "isolate", "host", "", shut))
    typed = {"limits": {"pressure_mbar": limit}, "lock": {"dry_minutes": 21.0}}
    return begin.answer(replay(events), Experiment.model_validate(typed))


def pumping() -> Answer:
    """A damp load on its way, its gauge stepped twice."""
    minutes = np.arange(2.0, 32.0)
    mbar = 4.5e-5 / minutes * np.exp(0.02 * np.random.default_rng(4).standard_normal(minutes.size))
    mbar[10:] *= 1.4
    mbar[20:] *= 0.8
    return _pumping(mbar)


def pumping_late() -> Answer:
    """Nobody said when it began, and it may take longer than a shift."""
    minutes = np.arange(2.0, 40.0)
    return _pumping(2.1e-5 / minutes + 8.5e-7, began=False)


def stalled() -> Answer:
    """A floor above the limit; isolated twice."""
    return _pumping(2.1e-5 / np.arange(2.0, 40.0) + 2e-6, isolations=((12.0, 1e-8), (36.0, 1e-8)))


def below() -> Answer:
    """Below the limit, and the gauge near its end."""
    return _pumping(2.1e-5 / np.arange(2.0, 60.0))


def no_forecast() -> Answer:
    """Three readings."""
    return _pumping(4.5e-5 / np.arange(2.0, 5.0))


def no_pressure() -> Answer:
    """Nothing noted yet."""
    return begin.answer(replay([]), Experiment())


def cards(**changes: Any) -> Answer:
    """Five cards, one of them of which the data cannot tell."""
    faces = [
        {"title": "One more spot on half of the units at Al K", "minutes": 52.0, "code": "half-spot/Al K",
         "settles": "The give-or-take narrows by 18 %, between 12 and 24.",
         "cannot_fix": "How units differ."},
        {"title": "Repeat the first specimen", "minutes": 8.0, "code": "first-again",
         "settles": "Whether anything drifted since the first scan.", "cannot_fix": "How much units differ."},
        {"title": "Both arms again in turn at Al K", "minutes": 36.0, "code": "in-turn/Al K",
         "settles": "Whether drift posed as the treatment: one arm came all before the other.",
         "cannot_fix": "Too few units."},
        {"title": "Stop and write", "minutes": 25.0, "code": "write",
         "settles": "What we can say, in our own words, while all are here.",
         "cannot_fix": "Anything not yet measured."},
        {"title": "One more scan on every spot at Fe L", "minutes": 160.0, "code": "scan/Fe L",
         "settles": "Cannot tell by how much: one scan per spot everywhere.",
         "cannot_fix": "How spots and units differ."},
    ]  # fmt: skip
    detail = {"minutes_left": 140.0, "round": 0, "cards": faces}
    return Answer(
        "minutes",
        "cards",
        "140 minutes are ours. Five cards say what they could buy.",
        detail=detail | changes,
    )


def no_cards() -> Answer:
    """Nobody said when the shift ends."""
    act = "Say it: --left 120, or type day: ends in experiment.yaml."
    told = {"minutes_left": None, "round": 0, "cards": []}
    return Answer(
        "minutes", "cannot-tell", "Cannot tell: nobody said how many minutes are left.",
        would_change_it=(act,), detail=told,
    )  # fmt: skip


AT_AL = Claim(
    41,
    "Our fire changed what sits around the aluminium.",
    "The early bump grew in all three pairs.",
    "Aluminium with four neighbours comes earlier.",
    3,
    "student",
    "2026-03-14T15:00:00Z",
    edge="Al K",
    unless="the damp pot does the same",
)
TALLY = {"unit": (1, 3), "scan": (18, 18), "slide": (4, 4), "baseline": (5, 5), "shuffle": (3, 3)}


def claim(tally: dict[str, tuple[int, int]] = TALLY, said: Claim = AT_AL, **changes: Any) -> Answer:
    """A claim of level 3 beside three lit rungs; `changes` of what the comparison found."""
    arms = [{"name": "raw", "control": True}, {"name": "fired"}]
    found = real(**{"units": {"raw": 3, "fired": 3}, "control_named": True, "role": "family"} | changes)
    here = Answer("here", "answered", "Aluminium is here.", detail={"elements": {"Al": {"verdict": "seen"}}})
    grounds = say.Grounds(Experiment.model_validate({"arms": arms}), 17, 18, here, found)
    lost = [Change(kind, f"{kind} {n}") for kind, (kept, tried) in tally.items() for n in range(tried - kept)]
    tried = {kind: count for kind, (_, count) in tally.items()}
    return say.answer(said, grounds, say.Tally(tried, tuple(lost)) if tally else None)


def too_loud() -> Answer:
    """Level 5 asked, one unit in each arm, no stress yet; long words."""
    words = "The fire did it, and it would do it to every clay from every river that anybody ever dug up."
    loud = replace(AT_AL, level=5, claim=words, evidence=words, reason=words)
    rungs = {"scans": "lit", "spots": "cannot-test", "units": "cannot-test"}
    why = {"spots": "nothing was repeated: no test", "units": "one unit in an arm: no test"}
    return claim({}, loud, units={"raw": 1, "fired": 1}, rungs=rungs, rung_words=why)


def no_claim() -> Answer:
    """Nobody has said anything."""
    return say.nothing_said()
