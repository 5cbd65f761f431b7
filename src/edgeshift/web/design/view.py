"""One question at a time. All answers travel with the address, so the page keeps nothing and Back undoes."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from pydantic import Field, ValidationError
from pydantic import TypeAdapter as Typed
from starlette.responses import JSONResponse, Response

from edgeshift.actions.interview import Designed, Question, as_file, designed, walk
from edgeshift.actions.new import new
from edgeshift.errors import QuestionRefused, TextRefused
from edgeshift.web.door import Body, Call, Door
from edgeshift.web.pages import page
from edgeshift.wording.numbers import earned

MOST = 16_000
"""Characters of all answers together: a browser's address holds them."""
_ANSWERS = Typed(dict[str, str])


class Said(Body):
    """The answers so far as JSON, and what was just typed; `change` opens one answer again."""

    said: str = Field("{}", max_length=MOST, description="Answers by their keys, as JSON.")
    key: str = Field("", max_length=300, description="The question that was just answered.")
    answer: str = Field("", max_length=2000, description="What was typed.")
    change: str = Field("", max_length=300, description="The answer to open again; the others stay.")


class Begin(Body):
    """Answers that make a whole design."""

    answers: dict[str, str] = Field(max_length=500, description="By the keys of the interview.")


@dataclass(frozen=True)
class Asked:
    """The question of the moment, what stands in its field, and why that was refused."""

    question: Question
    typed: str = ""
    refused: str = ""

    def says(self, choice: str) -> bool:
        """Whether this choice is the one that was typed."""
        return self.typed.strip().lower() == choice.lower()


def design(call: Call) -> Response:
    """The next question, or what the finished design can show."""
    answers = _answers(call.query.said)
    typed, refused = answers.pop(call.query.change, "") if call.query.change else "", ""
    if call.query.key:
        typed, refused = _taken(answers, call.query.key, call.query.answer)
    step = walk(answers)
    made = designed(step) if step.design else None
    return page(
        call,
        "design/design.html",
        asked=Asked(step.question, typed, refused) if step.question else None,
        said=json.dumps(answers, ensure_ascii=False),
        answered=[(question.key, text) for question, text in step.asked],
        shown=_shown(made) if made else None,
        begins=call.house.begins,
        wing=call.house.begins is None,
    )


def make(call: Call) -> Response:
    """Make the folder that the host named when the page was opened."""
    step = walk(call.body.answers)
    if step.design is None:
        raise QuestionRefused(
            "the interview", "every question answered", f"none to {step.question.key}", "Answer it first."
        )
    begins = call.house.begins
    new(begins.folder, designed(step).text, call.house.room.desk, begins.role, "the interview").close()
    begins.made = True
    return JSONResponse({"made": str(begins.folder)})


def _answers(said: str) -> dict[str, str]:
    """The answers in the address, as far as they make sense; one that does not is asked again."""
    try:
        answers = dict(_ANSWERS.validate_json(said))
    except ValidationError:
        raise TextRefused("said", "answers by their keys", "something else", "Begin again.") from None
    while True:
        try:
            walk(answers)
        except TextRefused as trouble:
            del answers[trouble.thing]
        else:
            return answers


def _taken(answers: dict[str, str], key: str, answer: str) -> tuple[str, str]:
    """Enter what was typed; what has no sense is given back with the reason."""
    try:
        walk({**answers, key: answer})
    except TextRefused as trouble:
        if trouble.thing == key:
            return answer, str(trouble)
    answers[key] = answer
    kept = _answers(json.dumps(answers))
    for stale in (
        answers.keys() - kept.keys()
    ):  # an earlier answer was changed: what hangs on it is asked anew
        del answers[stale]
    return "", ""


def _shown(made: Designed) -> dict[str, Any]:
    answer, detail = made.answer, made.answer.detail
    elsewhere = {fault["code"] for fault in detail["faults"]} | {"not-said"}
    rest = [fact for fact in answer.because if fact.code not in elsewhere]
    return {
        "marked": answer.marked.split("**"),
        "numbers": [(earned(fact.value, None), fact.what) for fact in rest if fact.value is not None],
        "because": [fact.what for fact in rest if fact.value is None],
        "faults": detail["faults"],
        "open": [fact.what for fact in answer.because if fact.code == "not-said"],
        "cautions": answer.cautions,
        "text": made.text,
        "file": as_file(made.answers),
        "answers": json.dumps(dict(made.answers), ensure_ascii=False),
    }


DOORS = (Door("GET", "/design", "host", design, "The design interview.", Said, kind="page"),)
BEGIN = Door("POST", "/api/begin", "host", make, "Make the experiment of a finished design.", body=Begin)
"""Only where there is no experiment yet."""
