"""The truth of a practice shift as a text that nobody reads by accident.

It is packed and carries a digest, so that a glance shows nothing and a slip of the hand is noticed. It is
sealed against accident, not against will: whoever wants to unpack it can.
"""

from __future__ import annotations

import base64
import hashlib
import json
import zlib
from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from edgeshift.errors import TextRefused
from edgeshift.practice.day import Shift
from edgeshift.practice.scenario import Scenario
from edgeshift.practice.truth import elements_there

KIND = "edgeshift practice truth"
HEAD = f"{KIND} 3, sealed against accident: edgeshift practice FOLDER --score opens it"
AGAIN = "Practise again: without its truth a shift cannot be scored."
WIDTH = 100

PARTS = ("scenario", "seed", "begins", "traps", "unharmed", "files", "landed_s", "places", "scans", "edges",
         "elements")  # fmt: skip
"""Everything that scoring reads."""


def sealed(scenario: Scenario, made: Shift, seed: int) -> str:
    """The truth of a shift, with the scenario's own table of what counts as caught."""
    truth = made.truth
    told = {
        "scenario": scenario.name,
        "seed": seed,
        "begins": scenario.begins.isoformat(),
        "traps": {
            name: {
                "words": scenario.traps[name].words,
                "by_plant": [list(files) for files in trap.by_plant],
                "caught": [dict(rule) for rule in scenario.traps[name].caught],
                "also_true": list(scenario.traps[name].also_true),
                "named": [dict(rule) for rule in scenario.traps[name].named],
            }
            for name, trap in truth.traps.items()
            if name in scenario.traps
        },
        "unharmed": dict(scenario.unharmed),
        "files": {file.name: hashlib.sha256(file.data).hexdigest() for file in made.files},
        "landed_s": dict(truth.landed_s),
        "places": {name: list(place) for name, place in truth.places.items()},
        "scans": {name: asdict(befell) for name, befell in truth.scans.items()},
        "edges": {edge: {"arms": dict(each.arms)} for edge, each in truth.edges.items()},
        "elements": {name: list(symbols) for name, symbols in elements_there(scenario).items()},
    }
    packed = base64.b64encode(zlib.compress(json.dumps(told, sort_keys=True).encode(), 9)).decode("ascii")
    lines = [packed[at : at + WIDTH] for at in range(0, len(packed), WIDTH)]
    return "\n".join([HEAD, _digest(packed), *lines]) + "\n"


def opened(text: str) -> Mapping[str, Any]:
    """What a sealed text holds. Raises TextRefused where it is broken, was changed, or lacks a part."""
    lines = text.splitlines()
    packed = "".join(lines[2:])
    if lines and lines[0] != HEAD and lines[0].startswith(KIND):
        raise _refused("a seal of this version", repr(lines[0].split(",")[0]))
    if len(lines) < 3 or lines[0] != HEAD or lines[1] != _digest(packed):
        raise _refused("the seal as it was written", "a broken one")
    try:
        told = json.loads(zlib.decompress(base64.b64decode(packed)))
    except (ValueError, zlib.error):
        raise _refused("the seal as it was written", "one that does not unpack") from None
    parts = set(told) if isinstance(told, dict) else set()
    if missing := [part for part in PARTS if part not in parts]:
        raise _refused("a seal with every part", f"one without '{missing[0]}'")
    return told


def check_files(told: Mapping[str, Any], arrived: Mapping[str, str]) -> None:
    """Raise TextRefused where a seal speaks of other files than those that came: name -> sha256."""
    sealed_ = told["files"]
    strangers = [name for name, sha256 in arrived.items() if sealed_.get(name, sha256) != sha256]
    if strangers:
        raise _refused("the seal of this shift", f"one that holds another '{strangers[0]}'")
    if arrived and not set(arrived) & set(sealed_):
        raise _refused("the seal of this shift", "one that knows none of its files")


def _refused(needed: str, found: str) -> TextRefused:
    return TextRefused("the sealed truth", needed, found, AGAIN)


def _digest(packed: str) -> str:
    return "sha256 " + hashlib.sha256(packed.encode("ascii")).hexdigest()
