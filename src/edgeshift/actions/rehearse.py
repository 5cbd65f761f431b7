"""A rehearsal: somebody's own experiment text, measured on the practice beamline with invented results."""

from __future__ import annotations

from importlib.resources import files

from edgeshift.errors import TextRefused
from edgeshift.formats.experiment_text import load
from edgeshift.practice import Scenario
from edgeshift.practice.beamline import Beamline
from edgeshift.practice.profile import profile_text
from edgeshift.practice.rehearsal import Plan, rehearsal_of
from edgeshift.practice.scenario_text import parts_from_text
from edgeshift.recipe.experiment import Experiment
from edgeshift.tables.edges import edge_named

TEXT = "experiment.yaml"


def rehearsal(text: str, seed: int, library: Scenario) -> Scenario:
    """The shift that `text` plans, as a scenario: its own edges, specimens and files.

    `library` lends invented materials to the edges that it knows. Where the text says nothing of a beamline,
    the practice beamline's layout is added to it. Raises TextRefused for a text that does not hold, names no
    edges or specimens, or describes half a beamline.
    """
    experiment = load(text, TEXT)
    told = experiment.beamline
    own = told.energy is not None and bool(told.channels)
    if not own and "beamline" in experiment.model_fields_set:
        needed, act = "its energy column and its channels", "Add them, or leave the beamline out to rehearse."
        raise TextRefused("the plan (beamline)", needed, "a part of them", act)
    if not own:
        text = text.rstrip() + "\n" + profile_text(Beamline())
        experiment = load(text, TEXT)
    traps, unharmed, materials = parts_from_text(
        files("edgeshift.practice").joinpath("rehearsal.yaml").read_text("utf-8")
    )
    profile = experiment.beamline if own else None
    return rehearsal_of(
        Plan(experiment, text, _energies(experiment), profile, traps, unharmed, materials), library, seed
    )


def _energies(experiment: Experiment) -> dict[str, tuple[float, ...]]:
    """Tabulated energies of each planned edge, lower first; two tables' lower value."""
    return {plan.edge: tuple(e.low_ev for e in edge_named(plan.edge).edges) for plan in experiment.edges}
