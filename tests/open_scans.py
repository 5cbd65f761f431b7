"""Open measured files as scans and spectra, the way a person would get them: by the readers' own proposal.

Whose data they are, under which licence, and what a good tool must find stands in the README of the folder
that the fixture `open_data` gives. (o) there: measured on these files by a plain script; (a): the authors'.
"""

from __future__ import annotations

from pathlib import Path

from edgeshift.formats.proposal import Proposal, propose
from edgeshift.formats.recognise import tables
from edgeshift.recipe.beamline import BeamlineProfile
from edgeshift.recipe.experiment import Experiment
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.identity import sha256_of
from edgeshift.records.scan import Place, Scan
from edgeshift.records.spectrum import Spectrum
from edgeshift.reduction.edge_of_scan import with_edge
from edgeshift.reduction.pipeline import flagged, formed, reduce_edge
from edgeshift.reduction.steps.columns import scan_from_table

RECIPE = Recipe()


def proposed(path: Path) -> Proposal:
    """What the readers make of a file that holds one table."""
    (table,) = tables(path.name, path.read_bytes())
    return propose(table)


def scan(
    path: Path, edge: str | None = None, place: Place | None = None, profile: BeamlineProfile | None = None
) -> Scan:
    """One file as a scan by its proposal, or by `profile`; `edge` is what the experiment text plans."""
    data = path.read_bytes()
    (table,) = tables(path.name, data)
    profile = profile or propose(table).profile
    planned = Experiment.model_validate({"edges": [{"edge": edge}] if edge else []})
    return with_edge(scan_from_table(table, profile, path.stem, sha256_of(data), place or Place()), planned)


def scans(folder: Path, pattern: str, edge: str | None = None) -> list[Scan]:
    """Every file that fits, by name; each stands alone."""
    found = [scan(path, edge) for path in sorted(folder.glob(pattern))]
    assert found, f"no file fits {pattern}"
    return found


def reduced(some: list[Scan], recipe: Recipe = RECIPE) -> EdgeSet:
    """Scans of one edge, through the whole reduction."""
    (edge,) = {str(each.edge) for each in some}
    return reduce_edge(edge, flagged(some, recipe), recipe, frozenset())


def alone(one: Scan, recipe: Recipe = RECIPE) -> Spectrum:
    """One scan as a spectrum, its stretches chosen for itself."""
    return reduced([one], recipe).spots[0]


def unscaled(some: list[Scan], recipe: Recipe = RECIPE) -> list[Spectrum]:
    """Signal over I0 of each scan; nothing is taken off and nothing is scaled."""
    return [each.curve for each in formed(flagged(some, recipe), recipe)]
