"""Shares over a stack from its files to an answer and its pictures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from edgeshift.actions.library import read as read_scan
from edgeshift.actions.map_stack import Baseline, Job, Tell, on_window, run
from edgeshift.actions.shelf import as_passes, read
from edgeshift.actions.stack_file import open_stack
from edgeshift.drawing import draw
from edgeshift.errors import QuestionRefused
from edgeshift.figures import figure_of
from edgeshift.folder.durable import write_durably
from edgeshift.folder.shelf import Shelf
from edgeshift.numerics.stacks import Order
from edgeshift.publish.press import png
from edgeshift.questions.mixtures import Reference, answer_seen, seen_mean
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.answer import Answer
from edgeshift.records.scan import Place
from edgeshift.records.spectrum import Pass
from edgeshift.reduction.pipeline import flagged, reduce_edge
from edgeshift.wording import mixtures as words
from edgeshift.wording.plain import as_json

MOST_ACROSS, MOST_DOWN, MOST_ALONG = 96, 72, 400
"""A picture shows so many cells at most; each is a mean of pixels."""


@dataclass(frozen=True)
class Asked:
    """What is asked: the stack with what its file does not say, the references, and how they are fitted.

    `references` are names on the shelf, or files measured on the stack's own energies. `axis` says in words
    how the stack's energies are tied; without it a standard from the shelf is refused.
    """

    stack: Path
    references: Sequence[str]
    out: Path
    edge: str
    data: str | None = None
    energy: str | None = None
    order: Order | None = None
    baseline: Baseline = "level"
    window_ev: tuple[float, float] | None = None
    axis: str = ""


def map_shares(
    asked: Asked,
    shelf: Shelf,
    tell: Tell = lambda done, whole: None,
    cores: int | None = None,
    cluster: str | None = None,
    recipe: Recipe | None = None,
) -> Answer:
    """Solve the stack, or what is left of it, and answer for its mean curve with the pictures of all.

    `shares.h5`, `.json`, `.svg` and `.png` stand under `asked.out`.
    """
    recipe = recipe or Recipe()
    stack = open_stack(asked.stack, asked.data, asked.energy, asked.order)
    references = [_reference(said, asked, shelf, recipe) for said in asked.references]
    used = np.ones(len(stack.energy_ev), dtype=bool)
    job = Job(stack, tuple(each.name for each in references), np.zeros((len(references), used.size)),
              asked.baseline, used)  # fmt: skip
    job = on_window(job, asked.window_ev)
    job = replace(job, references=_on_stack(asked.edge, references, job, recipe))
    try:
        job.tables()
    except ValueError as trouble:
        raise QuestionRefused("the references", "others", str(trouble), "Leave one out, or widen.") from None
    result = run(job, asked.out, tell, cores, cluster)
    found = _answer(asked, job, references, result, recipe)
    svg = draw(found.figure)
    write_durably(asked.out / "shares.svg", svg.encode())
    write_durably(asked.out / "shares.png", png(svg, 1.5))
    write_durably(asked.out / "shares.json", as_json([found]).encode())
    return found


def _reference(said: str, asked: Asked, shelf: Shelf, recipe: Recipe) -> Reference:
    """A file by its path, else a standard of the shelf; that one must be tied, and the stack too."""
    if Path(said).is_file():
        name = Path(said).stem
        scan = replace(read_scan(said, edge=asked.edge), place=Place(name))
        return Reference(name, flagged([scan], recipe))
    standard, data, _ = read(shelf, said, asked.edge)
    if not (standard.ties and asked.axis):
        lacks = "the standard is not tied" if asked.axis else "nobody said how the stack's energies are tied"
        act = "Tie it: edgeshift shelf tie." if asked.axis else "Say it: --axis 'which known peak'."
        raise QuestionRefused(f"the standard {said}", "its energies on the stack's axis", lacks, act)
    return Reference(standard.name, as_passes(standard, said, recipe), standard.sigma_ev, shelf=True)


def _on_stack(edge: str, references: Sequence[Reference], job: Job, recipe: Recipe) -> np.ndarray:
    """Every reference in edge steps on the stack's energies (refs, n)."""
    passes: tuple[Pass, ...] = tuple(each for one in references for each in one.passes)
    made = reduce_edge(edge, passes, recipe, frozenset())
    spots = {spot.place.specimen: spot for spot in made.spots}
    energy = job.stack.energy_ev[job.used]
    rows = []
    for one in references:
        spot = spots[one.name]
        there = np.isfinite(spot.value)
        low, high = spot.energy_ev[there][[0, -1]]
        step = float(np.median(np.diff(energy)))
        if energy[0] < low - step or energy[-1] > high + step:
            asked = f"{energy[0]:.1f} to {energy[-1]:.1f} eV"
            raise QuestionRefused(
                f"the reference {one.name}",
                asked,
                f"{low:.1f} to {high:.1f} eV",
                "Narrow it: --window LOW HIGH.",
            )
        rows.append(np.interp(job.stack.energy_ev, spot.energy_ev[there], spot.value[there]))
    return np.array(rows)


def _answer(asked: Asked, job: Job, references: Sequence[Reference], result: Path, recipe: Recipe) -> Answer:
    import h5py

    with h5py.File(result, "r") as file:
        data = file["shares/data"]
        mean = data["mean_curve"][()]
        shown = _series(data, job) if len(job.stack.pixels) == 1 else _fields(data, job)
        whole, flat = int(data.attrs["whole_curves"]), int(data.attrs["flat_curves"])
    plain = {"none": 0, "level": 1, "line": 2}[job.baseline]
    looked = seen_mean(job.stack.energy_ev[job.used], mean, job.references[:, job.used], "ratio", plain)
    found = answer_seen(asked.edge, words.MEAN_OF, looked, references, recipe)
    count = job.stack.count
    told = {"count": count, "gaps": count - whole - flat, "flat": flat, "pixels": list(job.stack.pixels),
            "baseline": job.baseline, "file": "shares.h5", **shown}  # fmt: skip
    axis = words.AXIS_AS_GIVEN.format(words=asked.axis or words.NO_AXIS_WORDS)
    found = replace(
        found,
        detail={**found.detail, "map": told},
        cautions=(
            *words.left_out(told),
            words.PIXELS_ARE_FORMAL,
            axis,
            *(c for c in found.cautions if "add up" not in c),
        ),
        identity=job.identity(),
    )
    return replace(found, figure=figure_of(found))


def _fields(data, job: Job) -> dict:
    """Maps as means of cells, read row by row of cells so that memory stays small."""
    high, wide = job.stack.pixels
    down, across = min(MOST_DOWN, high), min(MOST_ACROSS, wide)
    rows = np.linspace(0, high, down + 1).astype(int)
    columns = np.linspace(0, wide, across + 1).astype(int)
    fields, means, tops = {}, {}, {}
    for place, name in enumerate(job.names):
        field = np.full((down, across), np.nan)
        for number, (first, last) in enumerate(zip(rows, rows[1:], strict=False)):
            field[number] = _cell_means(data["shares"][place, first:last].T, columns)
        fields[name] = [[_number(each) for each in row] for row in field]
        means[name], tops[name] = _mean_and_top(field)
    return {"fields": fields, "means": means, "tops": tops}


def _series(data, job: Job) -> dict:
    """Each share along the series, binned, with twice the formal error of the bin's mean."""
    count = job.stack.pixels[0]
    edges = np.linspace(0, count, min(MOST_ALONG, count) + 1).astype(int)
    series, means = {}, {}
    for place, name in enumerate(job.names):
        value = _cell_means(data["shares"][place], edges)
        variance = _cell_means(data["shares_errors"][place] ** 2, edges) / np.diff(edges)
        half = 2 * np.sqrt(variance)
        series[name] = {
            key: [_number(each) for each in row]
            for key, row in (("value", value), ("low", value - half), ("high", value + half))
        }
        means[name], _ = _mean_and_top(value)
    along = 0.5 * (edges[:-1] + edges[1:] - 1) + 1
    return {"along": along.tolist(), "series": series, "means": means}


def _cell_means(values: np.ndarray, edges: np.ndarray) -> np.ndarray:
    """Mean over the first axis between edges, and over all others; NaN are left out."""
    flat = values.reshape(len(values), -1)
    sums = np.add.reduceat(np.nansum(flat, axis=1), edges[:-1])
    counts = np.add.reduceat(np.isfinite(flat).sum(axis=1), edges[:-1])
    return np.divide(sums, counts, out=np.full(len(sums), np.nan), where=counts > 0)


def _mean_and_top(values: np.ndarray) -> tuple[float, float]:
    known = values[np.isfinite(values)]
    return (float(known.mean()), float(known.max())) if known.size else (0.0, 0.0)


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
