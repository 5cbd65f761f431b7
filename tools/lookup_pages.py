"""The look-up pages of docs/lookup, written from the code itself: nothing here can lag behind it."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from importlib import import_module
from pkgutil import iter_modules, walk_packages
from types import UnionType
from typing import Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined
from typer.testing import CliRunner

import edgeshift
from edgeshift import questions
from edgeshift.cli.application import app
from edgeshift.errors import Refusal
from edgeshift.formats.recognise import readers
from edgeshift.recipe import beamline, experiment, venue
from edgeshift.recipe.knobs import Recipe, Section
from edgeshift.records.answer import VERDICTS, Answer, Fact
from edgeshift.records.event import KINDS, ROLES
from edgeshift.records.flags import FLAGS, UNUSABLE
from edgeshift.reduction.steps import ordered
from edgeshift.wording import here
from edgeshift.wording.design import FAULTS
from edgeshift.wording.glossary import GLOSSARY, Entry
from edgeshift.wording.interview import ASKED
from edgeshift.wording.trust import REASONS

WRITTEN = "<!-- Written by tools/make_pages.py from the code. Change the code, then: make docs -->\n"
BOUNDS = (("ge", "from"), ("gt", "above"), ("le", "to"), ("lt", "below"))


def pages() -> dict[str, str]:
    """Every look-up page: its place under docs/lookup and its text."""
    made = {
        "recipe.md": recipe_page(),
        "experiment.md": experiment_page(),
        "profile.md": profile_page(),
        "venue.md": venue_page(),
        "flags.md": flags_page(),
        "answers.md": answers_page(),
        "interview.md": interview_page(),
        "errors.md": errors_page(),
        "commands.md": commands_page(),
        "formats.md": formats_page(),
        "steps.md": steps_page(),
    }
    found = {f"docs/lookup/{name}": WRITTEN + text for name, text in made.items()}
    return {**found, "docs/glossary.md": WRITTEN + glossary_page()}


def glossary_page() -> str:
    """Every word with its meaning."""
    parts = [
        "# Glossary\n",
        "In our own words, for somebody who has never been to a beamline."
        " Words in **bold** are edgeshift's own nouns.\n",
    ]
    for theme, entries in GLOSSARY:
        parts += [f"## {theme}\n", "\\\n".join(map(_glossary_line, entries)) + "\n"]
    return "\n".join([*parts, "Follow your facility's and beamline's rules; staff decide.\n"])


def _glossary_line(entry: Entry) -> str:
    more = f" See [{entry.see[0]}]({entry.see[1]})." if entry.see else ""
    return f"**{entry.word}** — {entry.meaning}{more}"


def recipe_page() -> str:
    """Every knob with default, unit, range and help."""
    parts = [
        "# The recipe",
        "Every knob of the reduction and of the comparison. Type what differs into `recipe:` in"
        " `experiment.yaml`, or under one edge's own `recipe:`. A name that does not exist is refused.",
    ]
    for section, field in Recipe.model_fields.items():
        model = field.annotation
        rows = (
            (f"`{name}`", default_of(knob), unit_of(knob), range_of(knob), knob.description)
            for name, knob in model.model_fields.items()
        )
        parts += [
            f"## {section}",
            model.__doc__,
            table(("knob", "default", "unit", "range", "what it does"), rows),
        ]
    return joined(parts)


def experiment_page() -> str:
    """Every line of experiment.yaml."""
    about = (
        "What stands in `experiment.yaml`. It may be edited by hand at any time; a change counts, and enters"
        " the book whole, when the folder is next opened. `beamline:` has [its own page](profile.md), and so"
        " has [`recipe:`](recipe.md)."
    )
    return joined(["# The experiment text", about, *models(experiment, experiment.Experiment)])


def profile_page() -> str:
    """Every line of a beamline profile."""
    about = (
        "Everything about the instrument that the files do not say. It stands under `beamline:` in"
        " `experiment.yaml`, or in a file of its own that `edgeshift take --profile` reads."
    )
    return joined(["# The beamline profile", about, *models(beamline, beamline.BeamlineProfile)])


def venue_page() -> str:
    """Every line of a venue profile."""
    about = (
        "What the place where a poster hangs asks for, in a file (YAML) for `edgeshift report --venue`."
        " What breaks a rule is refused by its place, with what was found."
    )
    return joined(["# The venue profile", about, *models(venue, venue.Venue)])


def models(module, top: type[Section]) -> Iterator[str]:
    """The sections of a module, the outermost first: a heading, its docstring, a table of its lines."""
    inside = [m for _, m in inspect.getmembers(module, inspect.isclass) if m.__module__ == module.__name__]
    inside.sort(key=lambda model: (model is not top, inspect.getsourcelines(model)[1]))
    for model in inside:
        rows = (
            (f"`{name}`", type_of(field.annotation), default_of(field), help_of(model, field))
            for name, field in model.model_fields.items()
        )
        yield f"## {model.__name__}"
        yield inspect.getdoc(model)
        yield table(("line", "is", "default", "what it says"), rows)


def help_of(model: type[Section], field: FieldInfo) -> str:
    """A field's own words, or where its section is described."""
    if field.description:
        return field.description
    inner = next((a for a in (field.annotation, *get_args(field.annotation)) if isinstance(a, type)), None)
    return f"See {inner.__name__}." if inner and issubclass(inner, Section) else ""


def flags_page() -> str:
    """Flags of points and reasons about scans."""
    flags = (
        (str(f.bit), f"`{f.code}`", f.words, f.sentence, "yes" if f.bit & UNUSABLE else "no") for f in FLAGS
    )
    reasons = ((f"`{code}`", blanks(sentence)) for code, sentence in REASONS.items())
    return joined(
        [
            "# Flags and reasons",
            "## Flags of single points",
            "A flagged point is never deleted. It stays in the record and in the picture; the last column"
            " says whether averages leave it out. Bits add up in the `flags` column of `results/spectra`.",
            table(("bit", "code", "words", "sentence", "left out"), flags),
            "## Reasons about a scan",
            "What `edgeshift ask trust` may say of a scan. The codes are closed: a program may rely on them.",
            table(("code", "sentence"), reasons),
        ]
    )


def blanks(sentence: str) -> str:
    """A template with an ellipsis for each number; a template that is all blank says whose words it holds."""
    text = re.sub(r"\{[^}]*\}", "…", sentence)
    return "(in the words of the file's reader or of a person)" if text == "…" else text


def answers_page() -> str:
    """The shape of every answer, and the verdicts of the questions that are there."""
    asked = [found.name for found in iter_modules(questions.__path__) if found.name in VERDICTS]
    verdicts = ((f"`{name}`", ", ".join(f"`{v}`" for v in VERDICTS[name])) for name in asked)
    return joined(
        [
            "# Answers",
            "Every question returns the same shape, on the command line, in `--json` and in a script. The"
            " JSON is always a list and its keys are stable. Where there is no number stands null.",
            "## Verdicts",
            table(("question", "verdicts"), verdicts),
            "The verdict of `real` is the highest lit rung; `detail.rungs` says of each rung whether it is"
            " `lit`, `not-shown` or `cannot-test`. Without `--edge` a last entry, its edge null, sums up.",
            "## An answer",
            inspect.getdoc(Answer),
            fields_table(Answer),
            "## A reason, as it stands in `because`",
            inspect.getdoc(Fact),
            fields_table(Fact),
            "## What is here",
            "`detail.elements` of `here` holds every element in range by its symbol: `verdict` (`seen`,"
            " `not-seen`, `cannot-tell`), `reason`, `limit` (the smallest amount that would have shown, in"
            " the `unit` beside it), `amount` with `sigma`, and `impostors`, each `excluded`, `not-yet` or"
            " `beside` (no impostor, but here as well) with a `reason` and its `specimens`. `asked` says"
            " whether somebody named the element or it stands out; `specimens` holds each specimen's own"
            " verdict, `doubted_in` those of which nobody can tell although of another one somebody can."
            " The codes are closed.",
            table(("reason", "why an element has its verdict"), coded(here.REASONS)),
            table(("reason", "why a suspect is excluded or not yet"), coded(here.WHY)),
            "## What happened",
            f"The kinds of events in the book: {', '.join(f'`{kind}`' for kind in KINDS)}. The roles:"
            f" {', '.join(ROLES)}.",
        ]
    )


def interview_page() -> str:
    """The questions of the design interview and the faults it names."""
    words: dict[str, list[str]] = {}
    for each in ASKED.values():
        words.setdefault(each.key, []).append(each.words)
    asked = ((f"`{key}`", " Or: ".join(several)) for key, several in words.items())
    faults = ((f"`{code}`", blanks(each.says), blanks(each.act)) for code, each in FAULTS.items())
    return joined(
        [
            "# The design interview",
            "A file for `edgeshift new FOLDER --from FILE` holds answers by these keys; braces stand for"
            " names that were answered before. Which questions are asked depends on the answers before"
            " them. What stays away counts as not said.",
            table(("key", "question"), asked),
            "## Faults",
            f"The verdict is one of {', '.join(f'`{each}`' for each in VERDICTS['design'])}."
            " `detail.faults` holds every fault with its `code`, the `key` of the answer that put it there, a"
            " `sentence` and the next `act`. The codes are closed.",
            table(("code", "fault", "next act"), faults),
        ]
    )


def coded(said: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Rows of a closed code and what it says."""
    return ((f"`{code}`", blanks(sentence)) for code, sentence in said.items())


def fields_table(record: type) -> str:
    """The fields of a record, as the source declares them."""
    rows = ((f"`{field.name}`", f"`{field.type}`") for field in fields(record))
    return table(("key", "type"), rows)


def errors_page() -> str:
    """The refusals as a tree."""
    for found in walk_packages(edgeshift.__path__, "edgeshift."):
        if not found.name.endswith("__main__"):
            import_module(found.name)
    return joined(
        [
            "# Refusals",
            "When edgeshift says no it names the thing, what was needed, what was found and the next act."
            " From the command line a refusal goes to standard error and the exit code is 2. 0 means answered"
            " (“cannot tell” is an answer), 1 a fault of ours.",
            "```text\n" + "\n".join(tree(Refusal)) + "\n```",
        ]
    )


def tree(kind: type[Refusal], depth: int = 0) -> Iterator[str]:
    """A class with its first docstring line, then what is derived from it."""
    name = "    " * depth + kind.__name__
    yield f"{name:34}{first_line(kind)}"
    for child in sorted(kind.__subclasses__(), key=_place):
        if child.__module__.startswith("edgeshift."):
            yield from tree(child, depth + 1)


def _place(kind: type[Refusal]) -> tuple:
    """The family's own file first, then the rest, each in the order of its lines."""
    return kind.__module__ != Refusal.__module__, kind.__module__, inspect.getsourcelines(kind)[1]


def commands_page() -> str:
    """The command line's own help, verb by verb."""
    parts = ["# The command line", "What `--help` prints, verb by verb.", help_block("--help")]
    for verb, command in click_commands(app):
        parts += [f"## {verb}", help_block(verb, "--help")]
        if hasattr(command, "commands"):
            first = ["FOLDER"] if any(each.param_type_name == "argument" for each in command.params) else []
            for kind in command.commands:
                parts += [f"### {verb} {kind}", help_block(verb, *first, kind, "--help")]
    return joined(parts)


def click_commands(typer_app) -> list[tuple[str, object]]:
    """(verb, command) in the order in which --help lists them."""
    from typer.main import get_command

    return list(get_command(typer_app).commands.items())


def help_block(*words: str) -> str:
    """What a command line prints, as a block."""
    result = CliRunner().invoke(app, list(words), prog_name="edgeshift", env={"COLUMNS": "100"})
    if result.exit_code:
        raise RuntimeError(f"edgeshift {' '.join(words)} ended with {result.exit_code}: {result.output}")
    return "```text\n" + result.output.strip("\n").replace("{folder}", "FOLDER") + "\n```"


def formats_page() -> str:
    """The readers, by their own docstrings."""
    parts = [
        "# File formats",
        "Readers are found by the entry point group `edgeshift.formats`; the one that recognises the first"
        " bytes most surely reads the file. Anything else is refused in one sentence.",
    ]
    for reader in readers():
        doors = "read and written" if hasattr(reader, "write") else "read"
        parts += [
            f"## {reader.NAME}",
            inspect.getdoc(reader),
            f"*{doors}*. Sure of itself: {reader.claims.__doc__}",
        ]
    return joined(parts)


def steps_page() -> str:
    """The steps in running order."""
    parts = [
        "# The steps of the reduction",
        "In running order. Steps are found by the entry point group `edgeshift.steps`. Each writes one"
        " sentence of the methods, which stand in the head of every file in `results/spectra`.",
    ]
    for step in ordered():
        after = f"Follows {step.AFTER}." if step.AFTER else "The first."
        parts += [f"## {step.NAME}", f"{inspect.getdoc(step)} {after}", inspect.getdoc(step.run)]
    return joined(parts)


def joined(parts: Iterable[str]) -> str:
    """Parts with a blank line between them."""
    return "\n\n".join(part.strip("\n") for part in parts) + "\n"


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join(lines)


def first_line(thing: object) -> str:
    """The first line of a docstring."""
    return (inspect.getdoc(thing) or "").partition("\n")[0]


def default_of(field: FieldInfo) -> str:
    """A default as people type it."""
    if field.is_required():
        return "(needed)"
    value = field.default
    if value is PydanticUndefined or isinstance(value, Section) or value in (None, "", ()):
        return "empty"
    return f"`{str(value).lower()}`" if isinstance(value, bool) else f"`{value}`"


def unit_of(field: FieldInfo) -> str:
    """The unit a knob is typed in."""
    return (field.json_schema_extra or {}).get("unit", "")


def range_of(field: FieldInfo) -> str:
    """The range or the choices of a knob."""
    limits = [
        f"{word} {getattr(rule, name):g}"
        for name, word in BOUNDS
        for rule in field.metadata
        if getattr(rule, name, None) is not None
    ]
    return " ".join(limits) or type_of(field.annotation)


def type_of(annotation: object) -> str:
    """A type in words."""
    origin, inside = get_origin(annotation), get_args(annotation)
    if origin is Literal:
        return ", ".join(f"`{choice}`" for choice in inside)
    if origin in (Union, UnionType):
        return " or ".join(type_of(a) for a in inside if a is not type(None))
    if origin is tuple:
        if inside[-1] is Ellipsis:
            return f"list of {type_of(inside[0])}"
        return "low and high" if inside == (float, float) else ", ".join(type_of(a) for a in inside)
    words = {str: "text", float: "number", int: "whole number", bool: "true or false", dict: "lines"}
    return words.get(annotation, getattr(annotation, "__name__", str(annotation)))
