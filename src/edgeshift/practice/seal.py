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

HEAD = "edgeshift practice truth 1, sealed against accident: edgeshift practice FOLDER --score opens it"
WIDTH = 100


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
            }
            for name, trap in truth.traps.items()
            if name in scenario.traps
        },
        "unharmed": dict(scenario.unharmed),
        "landed_s": dict(truth.landed_s),
        "places": {name: list(place) for name, place in truth.places.items()},
        "scans": {name: asdict(befell) for name, befell in truth.scans.items()},
        "edges": {edge: {"arms": dict(each.arms)} for edge, each in truth.edges.items()},
    }
    packed = base64.b64encode(zlib.compress(json.dumps(told, sort_keys=True).encode(), 9)).decode("ascii")
    lines = [packed[at : at + WIDTH] for at in range(0, len(packed), WIDTH)]
    return "\n".join([HEAD, _digest(packed), *lines]) + "\n"


def opened(text: str) -> Mapping[str, Any]:
    """What a sealed text holds. Raises TextRefused where it is broken or was changed."""
    lines = text.splitlines()
    packed = "".join(lines[2:])
    if len(lines) < 3 or lines[0] != HEAD or lines[1] != _digest(packed):
        act = "Practise again: without its truth a shift cannot be scored."
        raise TextRefused("the sealed truth", "the seal as it was written", "a broken one", act)
    return json.loads(zlib.decompress(base64.b64decode(packed)))


def _digest(packed: str) -> str:
    return "sha256 " + hashlib.sha256(packed.encode("ascii")).hexdigest()
