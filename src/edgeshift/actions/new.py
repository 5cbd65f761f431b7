"""Begin an experiment: from a text, from answers in a file, or by a short interview."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from edgeshift.actions.desk import Desk
from edgeshift.actions.interview import Ask, Designed, Question, interview
from edgeshift.errors import TextRefused
from edgeshift.folder.experiment_folder import TEXT, ExperimentFolder
from edgeshift.planning.spare_keys import nearest
from edgeshift.wording.interview import unknown_keys


def new(path: str | Path, text: str, desk: Desk, role: str = "host", name: str = TEXT) -> ExperimentFolder:
    """A new experiment folder at `path` with this text.

    `name` is what refusals call the text. Raises TextRefused with its line where the text does not hold,
    FolderRefused where something is there already.
    """
    from edgeshift.formats.experiment_text import load

    load(text, name)
    return ExperimentFolder.create(path, text, desk.now(), role)


def design_from_interview(ask: Ask) -> Designed:
    """The design that comes of asking, with its experiment text."""
    return interview(ask)


def text_from_file(data: bytes, name: str) -> str:
    """The experiment text of a YAML file: an experiment as it is, or answers to the interview's questions.

    In an answers file `arms` is a line of words (`raw, fired`); in an experiment it is a list of arms.
    """
    found = design_from_file(data, name)
    return text_of(data, name) if found is None else found.text


def design_from_file(data: bytes, name: str) -> Designed | None:
    """The design of a file with answers, None where the file is an experiment. TextRefused by its key."""
    answers = _answers(text_of(data, name))
    return None if answers is None else _answered(answers, name)


def told(design: Designed) -> dict[str, Any]:
    """What a design can show, as JSON takes it."""
    from edgeshift.wording.plain import as_dict

    return as_dict(design.answer)


def text_of(data: bytes, name: str) -> str:
    """The text in the bytes of a file. Raises TextRefused where they are no UTF-8."""
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise TextRefused(name, "text in UTF-8", "other bytes", "Save it as UTF-8.") from None


def _answers(text: str) -> Mapping[str, Any] | None:
    from ruamel.yaml import YAML, YAMLError

    try:
        content = YAML(typ="safe", pure=True).load(text)
    except YAMLError:
        return None  # the reader of experiment texts says where it breaks
    if isinstance(content, Mapping) and isinstance(content.get("arms"), str):
        return content
    return None


def _answered(answers: Mapping[str, Any], name: str) -> Designed:
    def ask(question: Question) -> str:
        text = _typed(answers.get(question.key))
        try:
            question.read(text)
        except TextRefused as trouble:
            found = trouble.found
            if question.key not in answers:  # a slip in a key looks like no answer
                near = nearest(question.key, map(str, answers))
                found = unknown_keys({near: question.key}) if near else found
            raise TextRefused(f"{name}: {question.key}", trouble.needed, found, trouble.act) from None
        return text

    return interview(ask, [str(key) for key in answers], name)


def _typed(said: Any) -> str:
    """An answer of a file as it would have been typed. Some writers of YAML turn yes into true."""
    if isinstance(said, bool):
        return "yes" if said else "no"
    return ", ".join(map(str, said)) if isinstance(said, list) else "" if said is None else str(said)
