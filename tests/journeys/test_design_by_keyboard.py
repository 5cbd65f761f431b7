"""A whole design interview in a real browser, by keyboard alone, from no experiment to a folder."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from axe import violations
from browsers import LAPTOP, PHONE, browser

from edgeshift.actions.interview import walk
from edgeshift.folder.experiment_folder import ExperimentFolder

FOCUSED = "() => document.activeElement.hasAttribute('autofocus')"
ANSWERS = {
    "question": "Does firing change clay more than digging elsewhere does?",
    "arms": "raw, fired",
    "control": "raw",
    "units of raw": "A, B, C",
    "units of fired": "D, E, F",
    "pairs": "no",
    "made or found": "made",
    "portions in raw": "none",
    "portions in fired": "none",
    "together in raw": "none",
    "together in fired": "all",
    "apart instead of fired": "2",
    "could swap": "yes",
    "steps apart": "no",
    "by the way": "heat",
    "same by the way": "raw",
    "edges": "Al K, K L",
    "touches": "Al",
    "control edge": "K L",
    "standard of Al K": "kaolinite",
    "blank": "bare tape",
    "order": "turn",
}
"""What else is asked stays empty."""


@contextmanager
def interview(folder: Path, settings: Path) -> Iterator[str]:
    """`edgeshift new FOLDER --page` in a process of its own, and the host's address."""
    words = [sys.executable, "-m", "edgeshift.cli", "new", str(folder), "--page", "--port", "0", "--json"]
    env = {**os.environ, "XDG_CONFIG_HOME": str(settings)}
    process = subprocess.Popen(words, stdout=subprocess.PIPE, text=True, env=env)
    try:
        yield json.loads(process.stdout.readline())[0]["page"]
    finally:
        process.send_signal(signal.SIGINT)
        assert process.wait(20) == 0
        process.stdout.close()


@pytest.mark.parametrize("size", [LAPTOP, PHONE])
def test_an_interview_needs_no_mouse_and_keeps_nobody_out(tmp_path, size):
    with interview(tmp_path / "ours", tmp_path / "settings") as address, browser() as chromium:
        page = chromium.page(size)
        page.goto(address)
        found = violations(page)
        answer_all(page)
        page.get_by_role("heading", name="As it stands this cannot test the treatment").wait_for()
        assert "D+E+F shared one run: 3 units count as 1" in page.inner_text("main")
        found += violations(page)
        page.locator("button.main").press("Enter")
        page.get_by_text("is ready").wait_for()
        assert found + violations(page) == []
        assert chromium.faults == [] and chromium.asked == []
    with ExperimentFolder.open(tmp_path / "ours") as folder:
        assert 'batch: "fired together 1"' in folder.experiment_text()


def answer_all(page) -> None:
    """Answer every question with the keys alone; the field of the moment has the focus already."""
    said: dict[str, str] = {}
    question = walk(said).question
    while question is not None:
        page.get_by_text(question.words).wait_for()
        page.wait_for_function(FOCUSED)  # the words stand there a moment before
        said[question.key] = ANSWERS.get(question.key, "")
        if question.choices and said[question.key]:
            page.keyboard.press("Space")
            for _ in range(question.choices.index(said[question.key])):
                page.keyboard.press("ArrowDown")
        elif said[question.key]:
            page.keyboard.type(said[question.key])
        page.keyboard.press("Enter")
        question = walk(said).question
