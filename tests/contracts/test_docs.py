"""The documents cannot lag: what can be told is compared, what is shown is run, what is linked is there."""

from __future__ import annotations

import inspect
import re
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import skip_unless_required

import edgeshift
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe, Section
from edgeshift.recipe.venue import Venue
from edgeshift.records.flags import FLAGS

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "tools"))

import make_pages  # noqa: E402
from lookup_pages import click_commands  # noqa: E402
from sessions import BLOCK, Failed, loose, replayed  # noqa: E402

PAGES = sorted(
    str(path.relative_to(ROOT))
    for path in (ROOT / "README.md", ROOT / "CHANGELOG.md", *ROOT.glob("docs/**/*.md"))
)
LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
MACHINE = re.compile(r"(?<![\w.])/(?:work|root|Users)/|/home/(?!clay)\w")
REGISTRY = re.compile(r"--(?:extra-)?index[-]url[ =]\S|https?://[^\s/]*(?::\d+)?/(?:simple|root)/")


EXACT = make_pages.exact()


def read(name: str) -> str:
    """A file of the repository."""
    return (ROOT / name).read_text(encoding="utf-8")


def tracked() -> list[str]:
    """Every file that git knows; outside a clone there is nothing to ask."""
    try:
        listed = subprocess.run(
            ["git", "ls-files"], cwd=ROOT, capture_output=True, encoding="utf-8", check=True
        )
    except (OSError, subprocess.CalledProcessError):
        skip_unless_required("this is no git clone, so nothing tells which files are tracked")
    return [name for name in listed.stdout.splitlines() if (ROOT / name).is_file()]


def texts() -> dict[str, str]:
    """Every tracked file that is text."""
    found = {}
    for name in tracked():
        data = (ROOT / name).read_bytes()
        if b"\0" not in data:
            found[name] = data.decode("utf-8", errors="replace")
    return found


# --- generated pages -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXACT)
def test_a_page_written_from_the_code_is_fresh(name):
    assert read(name) == EXACT[name], "stale: run `make docs`"


@pytest.mark.parametrize("page", make_pages.SESSIONS)
def test_what_a_page_shows_is_what_the_tool_prints(page):
    for name, text in make_pages.measured(page).items():
        assert loose(read(name)) == loose(text), f"{name} is stale: run `make docs`"


def test_a_wrong_output_would_be_noticed(tmp_path):
    page = "```console\n$ echo kept, 12 points\nset aside, 12 points\n```\n"
    again = replayed(page, tmp_path)
    assert "kept, 12 points" in again
    assert loose(again) != loose(page)


def test_last_digits_times_and_identities_may_differ():
    one = f"at 2026-11-25T12:53:25.847Z: -0.936 of {'0' * 64}"
    other = f"at 2027-01-02T00:00:00Z: 1.2e-05 of {'ab' * 32}"
    assert loose(one) == loose(other)
    assert loose(one) != loose(other.replace("of", "beyond"))


def test_a_block_that_fails_is_not_passed_over(tmp_path):
    with pytest.raises(Failed, match="ended with 1"):
        replayed("```python\nraise SystemExit(1)\n```\n", tmp_path)


FEW_UNITS = ("coverage", "power", "ablation", "looks", "features", "measured", "edges")


@pytest.mark.parametrize("name", FEW_UNITS)
def test_the_page_on_few_units_shows_every_table_as_it_was_measured(name):
    page, table = read("docs/why/few-units.md"), read(f"docs/why/verdict-{name}.txt")
    shown = re.findall(r"```text\n(.*?)\n```", page, re.DOTALL)
    assert any(set(part.splitlines()) <= set(table.splitlines()) for part in shown if part.strip()), name


def test_the_measured_coverage_has_every_cell_of_the_grid_and_keeps_its_promise():
    """0.94, less one standard error of 2000 runs."""
    sys.path.insert(0, str(ROOT / "benchmarks"))
    from _unit_curves import DESIGNS, cells

    rows = re.findall(
        r"^(\S+(?: pairs)?)\s+(\S.*?)\s+([\d.]{5}) .*([\d.]{5})$",
        read("docs/why/verdict-coverage.txt"),
        re.MULTILINE,
    )
    measured = {(design, cell): float(verdict) for design, cell, _, verdict in rows}
    assert {(d, str(c)) for d, sizes in DESIGNS.items() for c in cells(sizes)} <= set(measured)
    assert min(measured.values()) >= 0.9347


def test_the_page_on_one_more_shows_the_table_that_was_measured():
    page, table = read("docs/why/what-one-more-would-do.md"), read("docs/why/variance-ratios.txt")
    assert f"```text\n{table.rstrip()}\n```" in page


def test_the_table_of_one_more_has_every_cell_and_reaches_its_goal():
    sys.path.insert(0, str(ROOT))
    from benchmarks.variance_ratios import DESIGNS, GOAL, HARD, KINDS, MIXES

    parts = [part.splitlines() for part in read("docs/why/variance-ratios.txt").rstrip().split("\n\n")]
    assert [part[0].split(",")[0] for part in parts[:-1]] == list(KINDS)
    cells_of = {
        part[0].split(",")[0]: {(row[:9].strip(), row[9:22].strip()): row[22:].split() for row in part[2:]}
        for part in parts[:-1]
    }
    assert all(
        list(found) == [(design, mix) for design in DESIGNS for mix in MIXES] for found in cells_of.values()
    )
    near = [
        min(float(number) for number in row[:2])
        for (design, mix), row in cells_of["four features"].items()
        if design in ("3+3", "4+4") and mix != HARD
    ]
    assert min(near) >= GOAL
    assert f"lowest {min(near):.2f}" in parts[-1][0]


@pytest.mark.parametrize("name", ["pumping-rates", "minutes-gain"])
def test_the_page_on_pumping_and_minutes_shows_what_was_measured_and_that_it_met_its_goals(name):
    page, table = read("docs/why/pump-down.md"), read(f"docs/why/{name}.txt")
    assert f"```text\n{table.rstrip()}\n```" in page
    assert "goals met" in table


def test_pictures_are_light():
    for path in ROOT.glob("docs/**/*.svg"):
        assert path.stat().st_size < 100_000, f"{path.name} weighs too much for a page"


# --- nothing without a word of help ----------------------------------------------------------------------


def sections(model: type[Section], seen: set | None = None) -> list[type[Section]]:
    """A section and all sections inside it."""
    seen = seen if seen is not None else set()
    if model in seen:
        return []
    seen.add(model)
    inside = [
        arg
        for field in model.model_fields.values()
        for arg in (field.annotation, *getattr(field.annotation, "__args__", ()))
        if inspect.isclass(arg) and issubclass(arg, Section)
    ]
    return [model, *(one for each in inside for one in sections(each, seen))]


MODELS = list(dict.fromkeys((*sections(Experiment), *sections(BeamlineProfile), Venue)))


def test_every_knob_has_help_and_a_unit():
    for section, field in Recipe.model_fields.items():
        for name, knob in field.annotation.model_fields.items():
            assert knob.description, f"{section}.{name} has no help"
            assert (knob.json_schema_extra or {}).get("unit"), f"{section}.{name} has no unit"


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_line_that_people_type_has_help(model):
    assert model.__doc__
    for name, field in model.model_fields.items():
        is_section = inspect.isclass(field.annotation) and issubclass(field.annotation, Section)
        assert field.description or is_section, f"{model.__name__}.{name} has no help"


def test_every_flag_has_words_and_a_sentence():
    assert all(flag.words and flag.sentence.endswith(".") for flag in FLAGS)


def test_every_command_and_every_option_has_help():
    from edgeshift.cli.application import app

    def below(command, name):
        assert command.help, f"{name} has no help"
        for parameter in command.params:
            assert getattr(parameter, "help", None), f"{name} {parameter.name} has no help"
        for word, kind in getattr(command, "commands", {}).items():
            below(kind, f"{name} {word}")

    commands = click_commands(app)
    assert commands
    for name, command in commands:
        below(command, name)


def test_everything_the_library_offers_has_a_docstring():
    for name in edgeshift.__all__:
        assert inspect.getdoc(getattr(edgeshift, name)), f"edgeshift.{name} has no docstring"


# --- links and order ---------------------------------------------------------------------------------------


def headings(text: str) -> set[str]:
    """The anchors of a page's headings, as a Markdown page makes them."""
    lines = re.findall(r"^#+ (.+)$", text, re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", line.lower()).replace(" ", "-") for line in lines}


def targets(page: str) -> list[tuple[str, str]]:
    """(file, anchor) of every relative link of a page; code is no link."""
    found = []
    for link in LINK.findall(BLOCK.sub("", read(page))):
        if "://" not in link and not link.startswith("mailto:"):
            place, _, anchor = link.partition("#")
            whole = ((ROOT / page).parent / place).resolve() if place else ROOT / page
            found.append((str(whole.relative_to(ROOT)), anchor))
    return found


@pytest.mark.parametrize("page", PAGES)
def test_every_relative_link_leads_somewhere(page):
    for place, anchor in targets(page):
        assert (ROOT / place).exists(), f"{page} links to {place}, which is not there"
        assert not anchor or anchor in headings(read(place)), f"{page}: no heading #{anchor} in {place}"


def test_every_page_is_reached_from_the_readme():
    reached, open_ends = set(), ["README.md"]
    while open_ends:
        page = open_ends.pop()
        if page not in reached and page.endswith(".md"):
            reached.add(page)
            open_ends += [place for place, _ in targets(page)]
    assert sorted(set(PAGES) - reached) == []


def test_the_readme_says_the_job_then_shows_it_then_runs_it():
    text = read("README.md")
    marks = ("staff scientist", "![", "```console", "make demo", "```python", "does not do yet")
    places = [text.index(mark) for mark in marks]
    assert places == sorted(places)
    assert "Follow your facility's and beamline's rules; staff decide." in text


def test_the_readmes_commands_are_in_the_makefile():
    known = set(re.findall(r"^(\w+):", read("Makefile"), re.MULTILINE))
    said = re.findall(r"^make (\w+)", read("README.md"), re.MULTILINE)
    assert set(said) == {"demo", "test"}
    assert set(said) <= known


@pytest.mark.parametrize("name", sorted(path.name for path in ROOT.glob("docs/decisions/*.md")))
def test_a_decision_has_a_number_a_question_and_a_choice(name):
    text = read(f"docs/decisions/{name}")
    assert re.fullmatch(r"\d{4}-[a-z0-9-]+\.md", name)
    assert text.startswith("# ")
    assert "**Question.**" in text
    assert "**Choice.**" in text
    assert len(text.splitlines()) <= 40, "half a page"


def test_decisions_have_different_numbers():
    numbers = [path.name[:4] for path in ROOT.glob("docs/decisions/*.md")]
    assert len(numbers) == len(set(numbers))


def test_the_glossary_keeps_each_word_once():
    words = re.findall(r"^\*\*([^*]+)\*\*", read("docs/glossary.md"), re.MULTILINE)
    assert len(words) >= 55
    assert len(words) == len(set(words))


# --- what may stand nowhere --------------------------------------------------------------------------------


def test_no_machine_and_no_registry_is_named():
    for name, text in texts().items():
        assert not MACHINE.search(text), f"{name} names a place on some machine: {MACHINE.search(text)[0]}"
        assert not REGISTRY.search(text), f"{name} names a registry: {REGISTRY.search(text)[0]}"


def test_no_measured_data_is_in_the_repository():
    heavy = [
        name for name in tracked() if (ROOT / name).stat().st_size > 200_000 and not name.endswith(".lock")
    ]
    assert heavy == []
