"""The practice beamline: invented specimens with known truth, written as raw files.

    text = <the packaged riverbank.yaml, read by whoever may touch the disk>
    scenario = scenario_from_text(text)
    made = shift(scenario, seed=7, traps=planted(scenario, "T1,T4"))
    made.files, made.experiment_text, made.logs, made.truth

Everything in here is invented, and nothing of it is reference data. It is pure: the same scenario and
seed give the same bytes. It knows nothing of the reduction or of how troubles are found.
"""

from edgeshift.practice.day import RawFile, Shift, shift
from edgeshift.practice.scenario import Scenario
from edgeshift.practice.scenario_text import built_on, scenario_from_text
from edgeshift.practice.traps import Trap, planted
from edgeshift.practice.truth import Truth

SCENARIOS = {name: f"{name}.yaml" for name in ("riverbank", "riverbank-2", "riverbank-3", "linen")}
"""The packaged scenarios by name: files beside this module, as package data. One may build on another."""

__all__ = [
    "SCENARIOS",
    "RawFile",
    "Scenario",
    "Shift",
    "Trap",
    "Truth",
    "built_on",
    "planted",
    "scenario_from_text",
    "shift",
]
