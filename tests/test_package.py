"""The package itself: light to import, and no more than it promises."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import edgeshift

ROOT = Path(__file__).resolve().parents[1]
HEAVY = (
    "numpy",
    "scipy",
    "h5py",
    "pydantic",
    "ruamel",
    "typer",
    "typst",
    "sqlite3",
    "rich",
    "edgeshift.actions",
)


def printed(code: str) -> str:
    run = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, timeout=60, check=False
    )
    assert run.returncode == 0, run.stderr
    return run.stdout.strip()


def test_importing_the_package_imports_nothing_heavy():
    assert printed(f"import sys, edgeshift; print([m for m in {HEAVY!r} if m in sys.modules])") == "[]"


def test_refusals_and_records_of_a_name_come_only_when_asked_for():
    code = (
        "import sys, edgeshift; edgeshift.Recipe; print('scipy.stats' in sys.modules, 'typst' in sys.modules)"
    )
    assert printed(code) == "False False"


@pytest.mark.parametrize("name", edgeshift.__all__)
def test_every_promised_name_is_there_and_says_what_it_is(name):
    assert getattr(edgeshift, name).__doc__
    assert name in dir(edgeshift)


def test_a_name_that_is_not_promised_is_not_there():
    with pytest.raises(AttributeError, match="module 'edgeshift' has no attribute 'numpy'"):
        _ = edgeshift.numpy


def test_answers_and_figures_know_how_to_show_themselves_once_a_name_was_used():
    code = (
        "import edgeshift; edgeshift.Answer\n"
        "from edgeshift.records.figure import Figure\n"
        "print(hasattr(edgeshift.Answer, '_repr_svg_'), hasattr(Figure, '_repr_svg_'))"
    )
    assert printed(code) == "True True"


def test_the_version_is_the_one_that_is_built():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert edgeshift.__version__ == project["version"]
