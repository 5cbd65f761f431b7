"""axe-core over a page as it stands, its content policy on: nothing serious or critical is let by."""

from __future__ import annotations

import functools
import shutil
import subprocess
import sys
from pathlib import Path

from conftest import skip_unless_required

PACKAGE = "axe-core@4"
KEPT = Path(sys.prefix) / "share" / "axe-core"
"""Beside the packages of the environment: put in once, and again in a new environment."""
GRAVE = ("serious", "critical")


@functools.cache
def script() -> str:
    """The text of axe-core; skips with a reason where it is not there and cannot be had."""
    found = KEPT / "node_modules" / "axe-core" / "axe.min.js"
    if not found.is_file():
        npm = shutil.which("npm")
        if not npm:
            skip_unless_required("no npm to put axe-core in with")
        asked = [npm, "install", "--prefix", str(KEPT), "--no-audit", "--no-fund", PACKAGE]
        done = subprocess.run(asked, capture_output=True, text=True, timeout=180)
        if done.returncode:
            skip_unless_required(f"axe-core could not be put in: {done.stderr.strip()[-200:]}")
    return found.read_text(encoding="utf-8")


def violations(page) -> list[str]:
    """What is grave on the page now, each with the places where it was found."""
    page.evaluate(f"() => {{ {script()} }}")
    found = page.evaluate("async () => (await axe.run(document, {resultTypes: ['violations']})).violations")
    return [
        f"{one['impact']} {one['id']}: {one['help']} at {[node['target'] for node in one['nodes']][:3]}"
        for one in found
        if one["impact"] in GRAVE
    ]
