"""Run what the documents show, and put what it prints in its place.

In a page the blocks are run from top to bottom in one empty folder:

    ```yaml NAME     is written to the file NAME (any language will do)
    ```console       lines that begin with "$ " are run; what they print follows them
    ```python        is run; a ```text block right behind it holds what it prints

Other blocks are left alone.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

BLOCK = re.compile(r"^```(\w+)(?: +(\S+))?\n(.*?)^```$", re.MULTILINE | re.DOTALL)
MASKS = (
    (re.compile(r"\d{4}-\d\d-\d\dT[\d:.]+(?:Z|[+-]\d\d:\d\d)?"), "(time)"),
    (re.compile(r"\b[0-9a-f]{16,}\b"), "(identity)"),
    (re.compile(r"[-+−]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?"), "#"),
)
LIMIT_S = 120


class Failed(Exception):
    """A block that a reader would see fail."""


def replayed(page: str, folder: Path) -> str:
    """The page with every output as it is now. Raises Failed for a block that does not run."""
    last = ""

    def again(block: re.Match[str]) -> str:
        nonlocal last
        language, name, inside = block[1], block[2], block[3]
        if name:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(inside, encoding="utf-8")
        elif language == "console":
            inside = _console(inside, folder)
        elif language == "python":
            last = _run([sys.executable, "-c", inside], folder)
            return block[0]
        elif language == "text" and last:
            inside, last = last, ""
        last = ""
        return f"```{language}{' ' + name if name else ''}\n{inside}```"

    return BLOCK.sub(again, page)


def _console(inside: str, folder: Path) -> str:
    shown = []
    for line in inside.splitlines():
        if line.startswith("$ "):
            printed = _run(["bash", "-c", line[2:]], folder, refusals=True)
            shown.append(f"{line}\n{printed}")
    return "".join(shown)


def _run(command: list[str], folder: Path, refusals: bool = False) -> str:
    """What a command prints, both streams. A refusal (exit code 2) may be shown, a fault may not."""
    here = str(Path(sys.executable).parent)
    fresh = {"PATH": f"{here}{os.pathsep}{os.environ['PATH']}", "COLUMNS": "100", "OPENBLAS_NUM_THREADS": "1"}
    done = subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, **fresh},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        encoding="utf-8",
        timeout=LIMIT_S,
        check=False,
    )
    if done.returncode not in ((0, 2) if refusals else (0,)) or "fault of ours" in done.stdout:
        raise Failed(f"{command[-1]} ended with {done.returncode}:\n{done.stdout}")
    return done.stdout if not done.stdout or done.stdout.endswith("\n") else done.stdout + "\n"


def loose(text: str) -> str:
    """A text with times, identities and numbers masked: the words must agree, the last digits may differ."""
    for pattern, instead in MASKS:
        text = pattern.sub(instead, text)
    return text
