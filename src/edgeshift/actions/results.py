"""Write what can be made again: answers, figures with their numbers, and spectra as XDI."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from edgeshift.actions.session import Session
from edgeshift.drawing.page import draw
from edgeshift.formats import xdi
from edgeshift.records.answer import Answer
from edgeshift.records.edge_set import EdgeSet
from edgeshift.records.spectrum import Spectrum
from edgeshift.records.table import Column, RawTable
from edgeshift.wording.names import Naming, open_naming
from edgeshift.wording.plain import as_json

WIDTH = 1280
EDGED = ("here", "trust", "real", "say")
"""Questions that are asked edge by edge; of the whole of them a file says so."""


def write_all(session: Session, answers: list[Answer], sets: Mapping[str, EdgeSet]) -> list[str]:
    """All of `results/`: `<question>.json`, a figure for each answer, `spectra/` as XDI; nothing older stays.

    The same experiment gives the same files with the same bytes. On a folder that cannot be written nothing
    happens. Returns the names.
    """
    if not session.folder.writable:
        return []
    naming = open_naming(session.known().experiment)
    made: dict[str, bytes] = {}
    for some in _by_question(answers).values():
        made |= answer_files(some, naming) | figure_files(some, naming)
    made |= spot_files(sets)
    for name, data in made.items():
        session.folder.write_result(name, data)
    session.folder.keep_results(made)
    return list(made)


def answer_files(answers: Sequence[Answer], naming: Naming) -> dict[str, bytes]:
    """One JSON list for each question."""
    every = _by_question(answers)
    return {f"{question}.json": as_json(some, naming).encode() for question, some in every.items()}


def _by_question(answers: Sequence[Answer]) -> dict[str, list[Answer]]:
    questions = dict.fromkeys(answer.question for answer in answers)
    return {question: [a for a in answers if a.question == question] for question in questions}


def figure_files(answers: Sequence[Answer], naming: Naming) -> dict[str, bytes]:
    """The picture of each answer as SVG."""
    return {
        f"{figure_name(answer)}.svg": draw(answer.figure, WIDTH, naming=naming).encode() for answer in answers
    }


def spot_files(sets: Mapping[str, EdgeSet]) -> dict[str, bytes]:
    """One XDI file for each spot, value and independent error, with its methods, under `spectra/`."""
    made: dict[str, bytes] = {}
    for edge_set in sets.values():
        for spectrum in edge_set.spots:
            name, number = f"spectra/{_spot_words(spectrum)}", 1
            # Names that no disk likes are made plain, and may then be alike.
            while f"{name}{_nth(number)}.xdi" in made:
                number += 1
            made[f"{name}{_nth(number)}.xdi"] = xdi.write(spectrum_table(spectrum, edge_set))
    return made


def _nth(number: int) -> str:
    return "" if number == 1 else f"~{number}"


def figure_name(answer: Answer) -> str:
    """What the picture of an answer is called, without an ending."""
    treated = answer.detail.get("treated") or ()
    of = answer.edge or ("all-edges" if answer.question in EDGED else "")
    words = (answer.question, *([of] if of else ()), *(treated if len(treated) == 1 else ()))
    return "-".join(plain_words(word) for word in words)


def _spot_words(spectrum: Spectrum) -> str:
    place = spectrum.place
    return "-".join(
        plain_words(w) for w in (spectrum.edge, place.specimen or spectrum.key, place.spot or "") if w
    )


def plain_words(text: str) -> str:
    """A text as part of a file name on any disk."""
    return "".join(letter if letter.isalnum() or letter in "-." else "_" for letter in text)


def spectrum_table(spectrum: Spectrum, edge_set: EdgeSet) -> RawTable:
    """A spectrum as columns. XDI allows no NaN, so only points with a number are written; the flag column
    names the doubtful.
    """
    there = np.isfinite(spectrum.value) & np.isfinite(spectrum.sigma)
    element, shell = edge_set.edge.split()
    unit = {"step": "edge_steps", "area": "mean_heights"}.get(spectrum.unit, spectrum.unit)
    columns = (
        Column("energy", spectrum.energy_ev[there], "eV"),
        Column("absorption", spectrum.value[there], unit),
        Column("independent_sigma", spectrum.sigma[there], unit),
        Column("flags", spectrum.flags[there].astype(float), "bits"),
    )
    header = {"element.symbol": element, "element.edge": shell, "xdi.extras": "edgeshift/1"}
    if spectrum.place.specimen:
        header["sample.name"] = spectrum.place.specimen
    remarks = (f"scans: {', '.join(spectrum.scans)}", *edge_set.methods)
    return RawTable(spectrum.key, "xdi", columns, header, remarks)
