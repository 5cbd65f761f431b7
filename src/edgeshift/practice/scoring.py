"""What was caught of a practice shift: the scenario's own table held against answers and people's acts.

The table is all that is read here. Nothing in it, and nothing here, knows how a trap was made or how a
detector finds it: rules name a question, a field and closed codes.

Every word about a scan has to be true of it: of what a trap did to that very scan, of what befell that very
point, or of its edge and specimen. Anything else is a false alarm, on scans that a trap touches too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from edgeshift.records.answer import Answer, Fact

Outcome = Literal["hit", "miss", "false-alarm"]
POINT_EV = 0.03
"""A flagged point and a disturbed one are the same where a file's energies agree so well."""
POINTS = frozenset({"spike", "injection"})
"""Codes that accuse single points; `feature-lost` follows from the points that were left out."""


@dataclass(frozen=True)
class Act:
    """What a person entered about some files: judge, place or tie, with its verdict or its shift in eV."""

    kind: str
    files: frozenset[str]
    verdict: str = ""
    shift_ev: float | None = None
    role: str = ""
    time: str = ""


@dataclass(frozen=True)
class Evidence:
    """Everything that scoring looks at: answers as `ask` gives them, and people's acts that stand.

    `points` are the flagged points of each file as (code, eV), `labels` the specimen and the unit that each
    file is said to be of. `came` are the files that came; None: all of them.
    """

    answers: tuple[Answer, ...]
    acts: tuple[Act, ...] = ()
    points: Mapping[str, Sequence[tuple[str, float]]] = field(default_factory=dict)
    labels: Mapping[str, tuple[str | None, str | None]] = field(default_factory=dict)
    came: frozenset[str] | None = None

    @property
    def scans(self) -> Mapping[str, Mapping[str, Any]]:
        """Every judged scan by file name."""
        return {file: told for a in self.answers for file, told in a.detail.get("scans", {}).items()}


@dataclass(frozen=True)
class Call:
    """One line of a score. `by` is tool, a person's role, or empty; `codes` what was said, `files` where.

    `named` says whether what is here named the trap rightly; None where that is not asked of it.
    """

    outcome: Outcome
    trap: str
    words: str
    by: str = ""
    codes: tuple[str, ...] = ()
    files: tuple[str, ...] = ()
    moment: str = ""
    named: bool | None = None


@dataclass(frozen=True)
class Found:
    """How a rule was met: who, with which codes, at which time (empty for the tool)."""

    by: str
    codes: tuple[str, ...] = ()
    time: str = ""


def trap_calls(told: Mapping[str, Any], evidence: Evidence) -> tuple[tuple[Call, Found | None], ...]:
    """Hit or miss for every planted trap of an opened seal, T2 before T10, with how it was found.

    Where the shift was cut short, a trap that could not be told yet is left out: one whose files did not all
    come and that was not found, and one about a whole edge that is not through.
    """
    calls = []
    for name in sorted(told["traps"], key=in_order):
        trap = told["traps"][name]
        files = tuple(dict.fromkeys(file for plant in trap["by_plant"] for file in plant))
        through = _came(evidence, files or _files_of_edges(trap, told))
        found = found_by(trap, evidence) if through or files else None
        if not through and not found:
            continue
        outcome: Outcome = "hit" if found else "miss"
        by, codes = (found.by, found.codes) if found else ("", ())
        call = Call(outcome, name, trap["words"], by, codes, files, named=named_rightly(trap, evidence))
        calls.append((call, found))
    return tuple(calls)


def in_order(name: str) -> tuple[str, int]:
    """T2 before T10."""
    letters = name.rstrip("0123456789")
    return letters, int(name[len(letters) :] or 0)


def found_by(trap: Mapping[str, Any], evidence: Evidence) -> Found | None:
    """The first rule of a trap that is met."""
    for rule in trap["caught"]:
        found = _met(rule, trap, evidence)
        if found:
            return found
    return None


def named_rightly(trap: Mapping[str, Any], evidence: Evidence) -> bool | None:
    """Whether the suspects of an element name this trap; None where the table does not ask for it."""
    return any(_met(rule, trap, evidence) for rule in trap["named"]) if trap.get("named") else None


def asks_what_is_here(trap: Mapping[str, Any]) -> bool:
    """Whether a trap can be caught by what is told of elements."""
    return any(rule.get("question") == "here" for rule in _rules(trap["caught"]))


def false_alarms(told: Mapping[str, Any], evidence: Evidence) -> tuple[Call, ...]:
    """Words about scans that are not true of them, and whole-shift findings that nothing explains."""
    return (
        *_stray_words(told, evidence),
        *_stray_facts(told, evidence),
        *_stray_units(told, evidence),
        *_stray_elements(told, evidence),
    )


def untouched(told: Mapping[str, Any], evidence: Evidence | None = None) -> tuple[str, ...]:
    """Names of the scans that no planted trap touches; with `evidence`, of those that came."""
    touched = {file for trap in told["traps"].values() for plant in trap["by_plant"] for file in plant}
    came = None if evidence is None else evidence.came
    return tuple(file for file in told["scans"] if file not in touched and (came is None or file in came))


def _came(evidence: Evidence, files: Iterable[str]) -> bool:
    return evidence.came is None or evidence.came.issuperset(files)


def _files_of_edges(trap: Mapping[str, Any], told: Mapping[str, Any]) -> list[str]:
    """The files that a trap without plants is about: those of its rules' edges, else all."""
    edges = {rule["edge"] for rule in _rules(trap["caught"]) if "edge" in rule}
    return [file for file, (edge, _) in told["places"].items() if not edges or edge in edges]


def _rules(rules: Iterable[Mapping[str, Any]]) -> Iterable[Mapping[str, Any]]:
    for rule in rules:
        yield from _rules(rule["all"]) if "all" in rule else [rule]


def _met(rule: Mapping[str, Any], trap: Mapping[str, Any], evidence: Evidence) -> Found | None:
    if "all" in rule:
        parts = [_met(part, trap, evidence) for part in rule["all"]]
        return Found("tool", tuple(c for part in parts for c in part.codes)) if all(parts) else None
    files = _files(rule, trap)
    if "person" in rule:
        return _person(rule, files, evidence)
    if rule["field"] == "points":
        points = [point for file in files for point in evidence.points.get(file, ())]
        return _said([code for code, at_ev in points if abs(at_ev - rule["at_ev"]) <= rule["within"]], rule)
    if rule["field"] == "reasons":
        return _said(_reason_codes(evidence, files), rule)
    if rule["field"] in ("facts", "anywhere"):
        facts = [f for f in _facts(rule["question"], evidence) if _is_about(f, files, evidence, rule)]
        codes = [fact.code for fact in facts if _is_near(rule, fact.value)]
        reasons = _reason_codes(evidence, files) if rule["field"] == "anywhere" else []
        return _said([*reasons, *codes], rule)
    if rule["field"] == "suspects":
        return _suspected(rule, evidence)
    held = [_at(rule["field"], answer) for answer in _asked(rule, evidence)]
    return Found("tool", (rule["field"],)) if any(_holds(rule, value) for value in held) else None


def _suspected(rule: Mapping[str, Any], evidence: Evidence) -> Found | None:
    """Whether an element in a specimen has this verdict, and beside it this suspect for this reason."""
    for answer in _asked(rule, evidence):
        told = _at(f"detail.elements.{rule['element']}.specimens", answer) or {}
        one = told.get(rule["specimen"], {"verdict": "", "suspects": ()})
        for each in one["suspects"]:
            same = (each["kind"], each["what"]) == (rule["kind"], rule["what"])
            if same and one["verdict"] in rule["verdicts"] and each["reason"] in rule["codes"]:
                return Found("tool", (each["reason"],))
    return None


def _files(rule: Mapping[str, Any], trap: Mapping[str, Any]) -> set[str]:
    plants = trap["by_plant"]
    chosen = [plants[rule["plant"] - 1]] if "plant" in rule else plants
    return {file for plant in chosen for file in plant}


def _person(rule: Mapping[str, Any], files: set[str], evidence: Evidence) -> Found | None:
    for act in evidence.acts:
        wanted = act.kind == rule["person"] and act.verdict in rule.get("verdicts", [act.verdict])
        if wanted and act.files & files and _is_near(rule, act.shift_ev):
            return Found(act.role, (act.kind,), act.time)
    return None


def _said(codes: Sequence[str], rule: Mapping[str, Any]) -> Found | None:
    found = tuple(dict.fromkeys(code for code in codes if code in rule["codes"]))
    return Found("tool", found) if found else None


def _reason_codes(evidence: Evidence, files: set[str]) -> list[str]:
    return [
        reason["code"] for file, told in evidence.scans.items() if file in files for reason in told["reasons"]
    ]


def _facts(question: str, evidence: Evidence) -> list[Fact]:
    return [fact for answer in evidence.answers if answer.question == question for fact in answer.because]


def _is_about(fact: Fact, files: set[str], evidence: Evidence, rule: Mapping[str, Any]) -> bool:
    """Whether a fact speaks of these files, with `only` of no others; without files, both are of all."""
    named = _files_of(fact, evidence)
    return not named or not files or (named <= files if rule.get("only") else bool(named & files))


def _files_of(fact: Fact, evidence: Evidence) -> set[str]:
    """The files that a fact names: by their scans, else by the specimens or units they are said to be of."""
    named = {
        kind: {ref.key for ref in fact.evidence if ref.kind == kind} for kind in ("scan", "specimen", "unit")
    }
    found = {file for file, told in evidence.scans.items() if told.get("scan") in named["scan"]}
    return found or {
        file
        for file, (specimen, unit) in evidence.labels.items()
        if specimen in named["specimen"] or unit in named["unit"]
    }


def _is_near(rule: Mapping[str, Any], value: float | None) -> bool:
    """Whether a number lies where the rule wants it; a rule without one takes any."""
    if "near" not in rule:
        return True
    return value is not None and abs(value - rule["near"]) <= rule["within"]


def _asked(rule: Mapping[str, Any], evidence: Evidence) -> list[Answer]:
    """The answers of the rule's question, edge and treated arm."""
    return [
        answer
        for answer in evidence.answers
        if answer.question == rule["question"]
        and rule.get("edge") in (None, answer.edge)
        and ("treated" not in rule or rule["treated"] in answer.detail.get("treated", ()))
    ]


def _at(field: str, answer: Answer) -> Any:
    """The verdict, or what stands at a dotted path of the detail; None where nothing does."""
    if field == "verdict":
        return answer.verdict
    held: Any = answer.detail
    for part in field.split(".")[1:]:
        held = held.get(part) if isinstance(held, Mapping) else None
    return held


TESTS: Mapping[str, Callable[[Any, Any], bool]] = {
    "is": lambda held, said: held == said,
    "in": lambda held, said: held in said,
    "not": lambda held, said: held not in said,
    "below": lambda held, said: held < said,
    "above": lambda held, said: held > said,
}


def _holds(rule: Mapping[str, Any], value: Any) -> bool:
    tests = [name for name in TESTS if name in rule]
    return value is not None and bool(tests) and all(TESTS[name](value, rule[name]) for name in tests)


def _stray_words(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    """One call for each scan with a reason that is not true of it."""
    calls = []
    for file, befell in told["scans"].items():
        said = _said_of(evidence, file)
        true = {"judged", *_true_of(told, file)}
        if _points_are_true(evidence.points.get(file, ()), befell, true):
            true |= {*POINTS, "feature-lost"}
        if said - true:
            calls.append(Call("false-alarm", "", "", "tool", tuple(sorted(said - true)), (file,)))
    return calls


def _points_are_true(
    flagged: Sequence[tuple[str, float]], befell: Mapping[str, Any], true: Iterable[str]
) -> bool:
    """Whether a blip or an injection touched every flagged point, but for those whose code is true anyway."""
    touched = [*befell["blips_ev"], *befell["injected_ev"]]
    accused = [at_ev for code, at_ev in flagged if code in POINTS and code not in true]
    return bool(flagged) and all(any(abs(at - each) <= POINT_EV for each in touched) for at in accused)


def _true_of(told: Mapping[str, Any], file: str) -> set[str]:
    """Codes that are true of a scan by its edge and specimen, and by what traps do to it."""
    table, place = told["unharmed"], told["places"][file]
    by_edge = table.get("edges", {})
    codes = {*by_edge.get(place[0], ()), *by_edge.get(" ".join(place), ())}
    codes |= set() if " " in place[0] else set(table.get("surveys", ()))
    for trap in told["traps"].values():
        touching = {number for number, files in enumerate(trap["by_plant"], 1) if file in files}
        if touching:
            codes |= set(trap.get("also_true", ()))
            codes |= {c for rule in _rules(trap["caught"]) for c in _codes(rule, touching)}
    return codes


def _codes(rule: Mapping[str, Any], touching: Iterable[int]) -> Sequence[str]:
    """Codes of a rule that speaks of one of these plants; those of single points are true of points alone."""
    wanted = "plant" not in rule or rule["plant"] in touching
    return rule.get("codes", ()) if wanted and rule.get("field") != "points" else ()


def _stray_facts(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    """Findings of the whole shift that no trap explains. Those noted on scans are judged there."""
    true = set(told["unharmed"].get("facts", ()))
    planted = [
        (set(_codes_of(trap)), {file for plant in trap["by_plant"] for file in plant})
        for trap in told["traps"].values()
    ]
    calls = []
    for fact in _facts("trust", evidence):
        named = _files_of(fact, evidence)
        if fact.code in true or any(fact.code in _said_of(evidence, file) for file in named):
            continue
        explained = any(
            fact.code in codes and (not files or not named or named & files) for codes, files in planted
        )
        if not explained:
            calls.append(Call("false-alarm", "", "", "tool", (fact.code,), tuple(sorted(named))))
    return calls


def _said_of(evidence: Evidence, file: str) -> set[str]:
    return {reason["code"] for reason in evidence.scans.get(file, {"reasons": ()})["reasons"]}


def _codes_of(trap: Mapping[str, Any]) -> list[str]:
    return [
        *trap.get("also_true", ()),
        *(c for rule in _rules(trap["caught"]) for c in rule.get("codes", ())),
    ]


def _stray_units(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    edges = told["unharmed"].get("units_not_lit", ())
    return [
        Call("false-alarm", "", "", "tool", ("units",), (answer.edge or "",))
        for answer in evidence.answers
        if answer.question == "real" and answer.edge in edges and answer.verdict == "units"
    ]


def _stray_elements(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    """Elements called seen in a specimen that does not hold them."""
    file_of = {each.get("scan"): file for file, each in evidence.scans.items()}
    calls = []
    for answer in evidence.answers:
        for symbol, element in answer.detail.get("elements", {}).items():
            for specimen, one in element["specimens"].items():
                file = file_of.get(one["scan"], "")
                true = told["places"].get(file, (None, specimen))[1]
                if one["verdict"] == "seen" and symbol not in told["elements"].get(true, ()):
                    codes = ("seen", f"{symbol} in {specimen}")
                    calls.append(Call("false-alarm", "", "", "tool", codes, (file,) if file else ()))
    return calls
