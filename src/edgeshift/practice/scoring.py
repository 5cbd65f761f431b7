"""What was caught of a practice shift: the scenario's own table held against answers and people's acts.

The table is all that is read here. Nothing in it, and nothing here, knows how a trap was made or how a
detector finds it: rules name a question, a field and closed codes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from edgeshift.records.answer import Answer, Fact

Outcome = Literal["hit", "miss", "false-alarm"]


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
    """Everything that scoring looks at: answers as `ask` gives them, and people's acts that stand."""

    answers: tuple[Answer, ...]
    acts: tuple[Act, ...] = ()

    @property
    def scans(self) -> Mapping[str, Mapping[str, Any]]:
        """Every judged scan by file name."""
        return {file: told for a in self.answers for file, told in a.detail.get("scans", {}).items()}


@dataclass(frozen=True)
class Call:
    """One line of a score. `by` is tool, a person's role, or empty; `codes` what was said, `files` where."""

    outcome: Outcome
    trap: str
    words: str
    by: str = ""
    codes: tuple[str, ...] = ()
    files: tuple[str, ...] = ()
    moment: str = ""


@dataclass(frozen=True)
class Found:
    """How a rule was met: who, with which codes, at which time (empty for the tool)."""

    by: str
    codes: tuple[str, ...] = ()
    time: str = ""


def trap_calls(told: Mapping[str, Any], evidence: Evidence) -> tuple[tuple[Call, Found | None], ...]:
    """Hit or miss for every planted trap of an opened seal, with how it was found."""
    calls = []
    for name, trap in told["traps"].items():
        found = found_by(trap, evidence)
        files = tuple(dict.fromkeys(file for plant in trap["by_plant"] for file in plant))
        outcome: Outcome = "hit" if found else "miss"
        by, codes = (found.by, found.codes) if found else ("", ())
        calls.append((Call(outcome, name, trap["words"], by, codes, files), found))
    return tuple(calls)


def found_by(trap: Mapping[str, Any], evidence: Evidence) -> Found | None:
    """The first rule of a trap that is met."""
    for rule in trap["caught"]:
        found = _met(rule, trap, evidence)
        if found:
            return found
    return None


def false_alarms(told: Mapping[str, Any], evidence: Evidence) -> tuple[Call, ...]:
    """What was said against scans that no trap touches, and whole-shift findings that nothing planted."""
    return (*_stray_reasons(told, evidence), *_stray_facts(told, evidence), *_stray_units(told, evidence))


def untouched(told: Mapping[str, Any]) -> tuple[str, ...]:
    """Names of the scans that no planted trap touches."""
    touched = {file for trap in told["traps"].values() for plant in trap["by_plant"] for file in plant}
    return tuple(file for file in told["scans"] if file not in touched)


def _met(rule: Mapping[str, Any], trap: Mapping[str, Any], evidence: Evidence) -> Found | None:
    if "all" in rule:
        parts = [_met(part, trap, evidence) for part in rule["all"]]
        return Found("tool", tuple(c for part in parts for c in part.codes)) if all(parts) else None
    files = _files(rule, trap)
    if "person" in rule:
        return _person(rule, files, evidence)
    if rule["field"] == "reasons":
        return _said(_reason_codes(evidence, files), rule["codes"])
    if rule["field"] in ("facts", "anywhere"):
        facts = [f for f in _facts(rule["question"], evidence) if _is_about(f, files, evidence)]
        codes = [fact.code for fact in facts if _is_near(rule, fact.value)]
        reasons = _reason_codes(evidence, files) if rule["field"] == "anywhere" else []
        return _said([*reasons, *codes], rule["codes"])
    held = [_at(rule["field"], answer) for answer in _asked(rule, evidence)]
    return Found("tool", (rule["field"],)) if any(_holds(rule, value) for value in held) else None


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


def _said(codes: Sequence[str], wanted: Sequence[str]) -> Found | None:
    found = tuple(dict.fromkeys(code for code in codes if code in wanted))
    return Found("tool", found) if found else None


def _reason_codes(evidence: Evidence, files: set[str]) -> list[str]:
    return [
        reason["code"] for file, told in evidence.scans.items() if file in files for reason in told["reasons"]
    ]


def _facts(question: str, evidence: Evidence) -> list[Fact]:
    return [fact for answer in evidence.answers if answer.question == question for fact in answer.because]


def _is_about(fact: Fact, files: set[str], evidence: Evidence) -> bool:
    """Whether a fact speaks of one of these files; one that names no scan speaks of the whole shift."""
    named = _files_of(fact, evidence)
    return not named or bool(named & files)


def _files_of(fact: Fact, evidence: Evidence) -> set[str]:
    """The files of the scans that a fact rests on."""
    keys = {ref.key for ref in fact.evidence if ref.kind == "scan"}
    return {file for file, told in evidence.scans.items() if told.get("scan") in keys}


def _is_near(rule: Mapping[str, Any], value: float | None) -> bool:
    """Whether a number lies where the rule wants it; a rule without one takes any."""
    if "near" not in rule:
        return True
    if value is None:
        return False
    wanted = [rule["near"], -rule["near"]] if rule.get("either_sign") else [rule["near"]]
    return any(abs(value - each) <= rule["within"] for each in wanted)


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


def _stray_reasons(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    """One call for each untouched scan with a reason that nothing explains."""
    calls = []
    for file in untouched(told):
        entry = evidence.scans.get(file, {"reasons": ()})
        codes = {reason["code"] for reason in entry["reasons"] if reason["code"] != "judged"}
        stray = tuple(sorted(codes - _explained(told, file)))
        if stray:
            calls.append(Call("false-alarm", "", "", "tool", stray, (file,)))
    return calls


def _explained(told: Mapping[str, Any], file: str) -> set[str]:
    """Codes that an untouched scan may carry, by what befell it, its edge and specimen."""
    befell, table, edge = told["scans"][file], told["unharmed"], told["places"][file][0]
    true_of = table.get("edges", {})
    codes = {*true_of.get(edge, ()), *true_of.get(" ".join(told["places"][file]), ())}
    for part, cause in (("blips", "blips"), ("injected", "injections")):
        if befell[part]:
            codes |= set(table.get(cause, ()))
    if _beside_a_touched_one(told, file):
        codes |= set(table.get("beside", ()))
    return codes if " " in edge else codes | set(table.get("surveys", ()))


def _beside_a_touched_one(told: Mapping[str, Any], file: str) -> bool:
    """Whether a trap touches another scan of the same specimen at the same edge."""
    clean = set(untouched(told))
    return any(place == told["places"][file] for name, place in told["places"].items() if name not in clean)


def _stray_facts(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    """Watched findings that rest on untouched scans alone, or on none where no such trap is planted."""
    planted = {code for trap in told["traps"].values() for code in _codes_of(trap["caught"])}
    clean, watched = set(untouched(told)), set(told["unharmed"].get("facts", ()))
    calls = []
    for fact in (fact for answer in evidence.answers for fact in answer.because if fact.code in watched):
        named = _files_of(fact, evidence)
        explained = bool(named) and all(fact.code in _explained(told, file) for file in named & clean)
        if not explained and (named <= clean if named else fact.code not in planted):
            calls.append(Call("false-alarm", "", "", "tool", (fact.code,), tuple(sorted(named))))
    return calls


def _codes_of(rules: Sequence[Mapping[str, Any]]) -> set[str]:
    return {c for rule in rules for c in (*rule.get("codes", ()), *_codes_of(rule.get("all", ())))}


def _stray_units(told: Mapping[str, Any], evidence: Evidence) -> list[Call]:
    edges = told["unharmed"].get("units_not_lit", ())
    return [
        Call("false-alarm", "", "", "tool", ("units",), (answer.edge or "",))
        for answer in evidence.answers
        if answer.question == "real" and answer.edge in edges and answer.verdict == "units"
    ]
