"""Answers as text for a terminal and as JSON for a machine: two renderings of one shape."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict

from edgeshift.records.answer import Answer
from edgeshift.wording.names import Naming, named
from edgeshift.wording.numbers import with_give_or_take

CLOSED = Naming()


def as_text(answers: Sequence[Answer], naming: Naming = CLOSED) -> str:
    """Each answer as its sentence with its verdict, reasons, what would change it, and cautions."""
    return "\n\n".join(_one(answer, naming) for answer in answers) + "\n"


def as_lines(answers: Sequence[Answer], naming: Naming = CLOSED) -> str:
    """Each answer as its one sentence, behind its edge."""
    said = (f"{answer.edge}: {answer.sentence}" if answer.edge else answer.sentence for answer in answers)
    return naming("\n".join(said)) + "\n"


def _one(answer: Answer, naming: Naming) -> str:
    head = f"{answer.edge}: " if answer.edge else ""
    lines = [f"{head}{answer.sentence}", f"  verdict: {answer.verdict}"]
    lines += [f"  because: {fact_line(fact)}" for fact in answer.because]
    lines += scan_lines(answer.detail.get("scans", {}))
    lines += [f"  would change it: {act}" for act in answer.would_change_it]
    lines += [f"  caution: {caution}" for caution in answer.cautions]
    return naming("\n".join(lines))


def scan_lines(scans: Mapping[str, Mapping]) -> list[str]:
    """One line for each judged scan that carries a reason, with its file and its verdict."""
    return [
        f"  {file}, {scan['verdict'].replace('-', ' ')}: {' '.join(r['sentence'] for r in scan['reasons'])}"
        for file, scan in scans.items()
        if scan["reasons"]
    ]


def fact_line(fact) -> str:
    """One reason in words, its number with the digits it earns; a whole sentence holds its number already."""
    if fact.value is None or fact.what.endswith((".", "?")):
        return fact.what
    return f"{fact.what}: {with_give_or_take(fact.value, fact.uncertainty, fact.unit)}"


def as_dict(answer: Answer, naming: Naming = CLOSED) -> dict:
    """The answer as plain data: stable keys, names in place, no NaN."""
    facts = [{**asdict(f), "evidence": [list(ref) for ref in f.evidence]} for f in answer.because]
    plain = {
        "question": answer.question,
        "edge": answer.edge,
        "verdict": answer.verdict,
        "sentence": answer.sentence,
        "because": facts,
        "would_change_it": list(answer.would_change_it),
        "cautions": list(answer.cautions),
        "identity": answer.identity,
        "detail": answer.detail,
    }
    return named(plain, naming)


def as_json(answers: Sequence[Answer], naming: Naming = CLOSED) -> str:
    """Always a list, sorted keys, one line end."""
    plain = [as_dict(answer, naming) for answer in answers]
    try:
        return _dumped(plain)
    except ValueError:
        return _dumped(_finite(plain))


def _dumped(plain: list) -> str:
    return json.dumps(plain, ensure_ascii=False, sort_keys=True, allow_nan=False) + "\n"


def _finite(thing):
    """JSON knows no NaN: what is no number becomes null."""
    if isinstance(thing, dict):
        return {key: _finite(value) for key, value in thing.items()}
    if isinstance(thing, list):
        return [_finite(each) for each in thing]
    if isinstance(thing, float) and not math.isfinite(thing):
        return None
    return thing
