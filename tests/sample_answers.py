"""Invented answers in every state a picture must bear: an arctangent step with peaks, unit by unit."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from edgeshift.records.answer import Answer

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
