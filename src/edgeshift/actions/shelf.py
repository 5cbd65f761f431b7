"""Standards that outlast a shift: put on the shelf, tied, checked, and lent to an experiment."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who, enter, role_given
from edgeshift.actions.looking import kept_sets
from edgeshift.actions.note import MOST_SHIFT_EV
from edgeshift.actions.session import NO_EDGE, Known, Session
from edgeshift.errors import FileRefused, FolderRefused, NoteRefused, QuestionRefused, UnreadableFile
from edgeshift.folder.shelf import Shelf
from edgeshift.formats import standard_text, xdi
from edgeshift.formats.recognise import tables
from edgeshift.numerics.averaging import mean_of
from edgeshift.numerics.completeness import landmarks
from edgeshift.numerics.grids import bridged, common_grid
from edgeshift.numerics.noise import single_scan_noise
from edgeshift.numerics.slides import Curve, slide_between
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.event import Event
from edgeshift.records.identity import sha256_of
from edgeshift.records.scan import Channel, Place, Scan
from edgeshift.records.spectrum import Pass, Spectrum
from edgeshift.records.standard import EnergyTie, Source, Standard
from edgeshift.records.table import RawTable
from edgeshift.reduction.pipeline import flagged, formed

REACH_EV = 3.0
"""A slide between two measurements of one standard is sought so far."""
SAME_PLACE_EV = 0.05
"""Two entries of one standard whose tied axes differ by more are told of (common practice, no source)."""


@dataclass(frozen=True)
class Checked:
    """One entry of the shelf: its state (tied, untied, unreadable) and what to know about it."""

    file: str
    state: str
    name: str = ""
    edge: str = ""
    axis: str = ""
    low_ev: float | None = None
    high_ev: float | None = None
    half_step_ev: float | None = None
    ties: tuple[EnergyTie, ...] = ()
    notes: tuple[str, ...] = ()


def entry_file(name: str, edge: str) -> str:
    """The file of a standard at an edge."""
    return f"{name}.{edge.replace(' ', '-')}.xdi"


def add(shelf: Shelf, standard: Standard, replace_it: bool = False) -> Path:
    """Put a standard on the shelf. Raises NoteRefused where it stands there already, or its name is none."""
    file = entry_file(standard.name, standard.edge)
    if not standard.name.strip() or not standard.axis.strip():
        raise NoteRefused("the standard", "a name and the axis it was measured on", "none", "Name both.")
    if shelf.has(file) and not replace_it:
        raise NoteRefused(file, "a new name", "an entry that is there", "Choose another, or say --replace.")
    return shelf.write(file, xdi.write(standard_text.to_table(standard, file)))


def from_file(name: str, scan: Scan, data: bytes, axis: str | None) -> Standard:
    """A standard from the one scan of a raw file, whose bytes are `data`, with all that its header says.

    Raises QuestionRefused where nobody named the axis.
    """
    if axis is None:
        raise QuestionRefused("the axis", "the scale that it was measured on", "none", "Add --axis.")
    standard = from_scan(name, scan, axis)
    (table,) = tables(scan.file, data)
    remarks = (*standard.remarks, *table.remarks)
    return replace(standard, remarks=remarks, sources=(_source(table, sha256_of(data)),))


def _source(table: RawTable, sha256: str) -> Source:
    return Source(table.file, sha256, dict(table.header))


def from_scan(name: str, scan: Scan, axis: str) -> Standard:
    """A standard from one scan: signal over beam, on energies as the beamline gave them."""
    if scan.edge is None:
        raise QuestionRefused(scan.file, "a known edge", "none", "Name it: --edge 'Fe L'.")
    curves = [each.curve for each in formed(flagged([scan], Recipe()), Recipe())]
    return _standard(name, scan.edge, curves, axis, (), (f"from the file {scan.file}",))


def from_experiment(path: str | Path, name: str, edge: str, desk: Desk, axis: str | None = None) -> Standard:
    """A standard from the kept scans of a specimen of an experiment, with the tie that was declared there."""
    with desk.open(path) as folder:
        session = Session(folder, desk)
        known = session.known()
        there = kept_sets(session, known).get(edge)
        passes = [
            each
            for each in (there.passes if there else ())
            if each.scan.place.specimen == name and each.scan.key not in there.set_aside
        ]
        if not passes:
            raise QuestionRefused(
                f"{name} at {edge}", "a kept scan", "none", "Name a specimen that was scanned."
            )
        curves = [each.curve for each in formed(tuple(passes), session.recipe(known.experiment, edge))]
        tie = passes[0].scan.tie
        ties = (EnergyTie(tie.shift_ev, tie.sigma_ev, tie.source, desk.now()),) if tie else ()
        said = f"from scans {', '.join(each.scan.key for each in passes)}"
        where = axis or known.experiment.beamline.name or "a beamline without a name"
        made = _standard(name, edge, curves, where, ties, (said,))
        return replace(made, sources=tuple(_arrived(session, known, [each.scan.key for each in passes])))


def _arrived(session: Session, known: Known, scans: list[str]) -> Iterator[Source]:
    """The files of these scans as they came, each once."""
    for scan in dict.fromkeys(scans):
        arrival = known.state.arrivals.get(scan)
        if arrival is not None:
            found = tables(arrival.given, session.folder.raw_bytes(arrival.sha256))
            yield _source(
                next((each for each in found if each.entry == arrival.entry), found[0]), arrival.sha256
            )


def _standard(name: str, edge: str, curves: list[Spectrum], axis: str, ties, remarks) -> Standard:
    grid = common_grid([curve.energy_ev for curve in curves])
    rows = [np.interp(grid, c.energy_ev, bridged(c.energy_ev, c.value)) for c in curves]
    value, _ = mean_of(np.vstack(rows))
    return Standard(name, edge, grid, value, axis, ties, remarks)


def read(shelf: Shelf, name: str, edge: str | None = None) -> tuple[Standard, bytes, str]:
    """A standard, its bytes and its file. Without `edge` its name must stand there once only."""
    if edge is None:
        mine = [file for file in shelf.files() if file.rsplit(".", 2)[0] == name]
        if len(mine) > 1:
            raise FolderRefused(f"the standard {name}", "one edge", ", ".join(mine), "Name one with --edge.")
        file = mine[0] if mine else f"{name}.xdi"
    else:
        file = entry_file(name, edge)
    data = shelf.read(file)
    return _parsed(file, data), data, file


def _parsed(file: str, data: bytes) -> Standard:
    (table,) = xdi.read(file, data)
    return standard_text.from_table(table)


def tie(shelf: Shelf, name: str, edge: str | None, shift: EnergyTie) -> Standard:
    """Shift an entry's energies and keep the line in its history; nothing of the history is taken out."""
    _checked(shift)
    standard, _, file = read(shelf, name, edge)
    tied = replace(standard, energy_ev=standard.energy_ev + shift.shift_ev, ties=(*standard.ties, shift))
    shelf.write(file, xdi.write(standard_text.to_table(tied, file)))
    return tied


def _checked(shift: EnergyTie) -> None:
    if not math.isfinite(shift.shift_ev) or abs(shift.shift_ev) > MOST_SHIFT_EV:
        found = f"{shift.shift_ev:g} eV"
        raise NoteRefused("the shift", f"at most {MOST_SHIFT_EV:g} eV", found, "Another axis is no tie.")
    if not (math.isfinite(shift.sigma_ev) and shift.sigma_ev > 0):
        raise NoteRefused("its give-or-take", "eV, above 0", f"{shift.sigma_ev:g}", "Type it as 0.05.")
    if not shift.source.strip():
        raise NoteRefused("the tie", "its source", "none", "Say which known peak, and who published it.")


def check(shelf: Shelf) -> list[Checked]:
    """Every entry: is it whole, is it tied, and do entries of one name and edge agree?"""
    found = [checked(file, shelf) for file in shelf.files()]
    return [replace(each, notes=(*each.notes, *_disagreement(each, found))) for each in found]


def checked(file: str, shelf: Shelf) -> Checked:
    """One entry, without a look at the others."""
    try:
        one = _parsed(file, shelf.read(file))
    except FileRefused as refusal:
        return Checked(file, "unreadable", notes=(str(refusal),))
    half = landmarks(one.energy_ev, one.value).half_ev
    notes = list(_doubts(one))
    return Checked(
        file,
        "tied" if one.ties else "untied",
        one.name,
        one.edge,
        one.axis,
        float(one.energy_ev[0]),
        float(one.energy_ev[-1]),
        half if math.isfinite(half) else None,
        one.ties,
        tuple(notes),
    )


def _doubts(one: Standard) -> Iterator[str]:
    if not one.ties:
        yield f"Its energies are as {one.axis} gave them; tie it before it is lent."
    height = float(np.ptp(one.value))
    noise = float(single_scan_noise(one.energy_ev, one.value))
    if noise > 0.02 * height:
        yield f"Its noise is {100 * noise / height:.0f} % of its height: measure it longer."


def _disagreement(each: Checked, every: list[Checked]) -> Iterator[str]:
    """Entries whose names begin alike, as "goethite" and "goethite~2", are measurements of one standard."""
    for other in every:
        same = other.file != each.file and _stem(other) == _stem(each) and other.edge == each.edge
        if same and each.ties and other.ties and each.half_step_ev and other.half_step_ev:
            apart = each.half_step_ev - other.half_step_ev
            if abs(apart) > SAME_PLACE_EV:
                yield f"Its half step lies {apart:+.2f} eV from that of {other.name}: one of the ties is off."


def _stem(each: Checked) -> str:
    return each.name.partition("~")[0]


# --- lent to an experiment --------------------------------------------------------------------------------


def lend(
    path: str | Path,
    shelf: Shelf,
    name: str,
    edge: str | None,
    who: Who,
    desk: Desk,
    shift: EnergyTie | None = None,
) -> Event:
    """Copy a standard into an experiment, on the experiment's own axis.

    It comes with a tie onto that axis (`shift`), or both it and the edge carry a cited tie. Otherwise it is
    refused; where the same standard was measured in the experiment too, the refusal proposes the shift.
    """
    role_given(who)
    standard, data, file = read(shelf, name, edge)
    with desk.open(path) as folder:
        session = Session(folder, desk)
        _of_this_experiment(session, standard)
        if shift is None:
            shift = _both_tied(session, standard, desk)
        _checked(shift)
        stored = folder.keep_raw(file, data)
        payload = {
            "name": standard.name,
            "edge": standard.edge,
            "file": stored,
            "sha256": sha256_of(data),
            "shift_ev": shift.shift_ev,
            "sigma_ev": shift.sigma_ev,
            "source": shift.source,
        }
        return enter(folder, desk, who, "standard", lambda _: payload)


def _of_this_experiment(session: Session, standard: Standard) -> None:
    """Refused where nobody scanned or planned that edge here, though others: nothing could use it."""
    known = session.known()
    edges = {*(plan.edge for plan in known.experiment.edges), *known.scans} - {NO_EDGE}
    if edges and standard.edge not in edges:
        raise NoteRefused(
            f"the standard {standard.name} at {standard.edge}",
            f"an edge of this experiment: {', '.join(sorted(edges))}",
            standard.edge,
            "Lend one of these, or name the edge in experiment.yaml first.",
        )


def _both_tied(session: Session, standard: Standard, desk: Desk) -> EnergyTie:
    """No further shift where the entry and the experiment's edge are both tied to cited peaks."""
    known = session.known()
    mine = [tie for tie in known.state.ties if tie.edge == standard.edge and not tie.scans]
    if standard.ties and mine:
        sigma = math.hypot(standard.ties[-1].sigma_ev, mine[-1].sigma_ev)
        source = f"both tied: {standard.ties[-1].source}; {mine[-1].source}"
        return EnergyTie(0.0, max(sigma, 1e-3), source, desk.now())
    lacks = "neither it nor this edge is tied"
    if standard.ties or mine:
        lacks = "only one of them is tied"
    act = (
        _proposal(session, standard) or "Tie it: --shift-ev 0.00 --sigma-ev 0.05 --source 'which known peak'."
    )
    raise NoteRefused(
        f"the standard {standard.name} at {standard.edge}",
        "its energies on this experiment's axis",
        lacks,
        act,
    )


def _proposal(session: Session, standard: Standard) -> str:
    """The shift that lays the entry on the same standard as measured here, in words; never applied."""
    known = session.known()
    there = kept_sets(session, known).get(standard.edge)
    for spot in there.spots if there else ():
        if spot.place.specimen == standard.name:
            return _proposed(standard, spot)
    return ""


def _proposed(standard: Standard, spot: Spectrum) -> str:
    noise = float(single_scan_noise(standard.energy_ev, standard.value))
    entry = Curve(standard.energy_ev, standard.value, np.full(len(standard.value), max(noise, 1e-12)))
    try:
        found = slide_between(
            Curve(spot.energy_ev, spot.value, np.maximum(spot.sigma, 1e-12)), entry, REACH_EV
        )
    except ValueError:
        return ""
    slide = round(found.slide_ev, 2) + 0.0  # adding zero takes the sign from nothing
    sigma = max(found.error_ev * math.sqrt(max(1.0, found.chi_square / found.df)), 0.01)
    return (
        f"Measured here too, it proposes --shift-ev {slide:.2f} --sigma-ev {sigma:.2f}:"
        " look first, then type them with --source."
    )


def lent(session: Session, known: Known, edge: str) -> list[tuple[Event, Standard]]:
    """The standards of an edge that an experiment holds, the last of each name, on its axis.

    Behind a curtain each has the name that it has there; its bytes are known in the open alone.
    """
    called = {event.number: event.payload.get("name") for event in known.state.events}
    last = {
        event.payload["name"]: event
        for event in (known.open or known).state.events
        if event.kind == "standard" and event.payload["edge"] == edge
    }
    found = []
    for event in last.values():
        told = event.payload
        standard = _parsed(told["file"], session.folder.raw_bytes(told["sha256"]))
        energy_ev = standard.energy_ev + told["shift_ev"]
        found.append((event, replace(standard, name=called[event.number], energy_ev=energy_ev)))
    return found


def as_passes(standard: Standard, sha256: str, recipe: Recipe) -> tuple[Pass, ...]:
    """A standard as a flagged scan, so that it is reduced like everything beside it."""
    channel = Channel("absorption", standard.value[None, :], "none", ("absorption",))
    scan = Scan(
        key=f"shelf: {standard.name}",
        file=entry_file(standard.name, standard.edge),
        sha256=sha256,
        edge=standard.edge,
        energy_ev=standard.energy_ev,
        dwell_s=np.ones(len(standard.energy_ev)),
        channels={"absorption": channel},
        signal="absorption",
        place=Place(standard.name),
    )
    return flagged([scan], recipe)


def unreadable(path: Path, trouble: OSError) -> UnreadableFile:
    """The refusal for a file that cannot be had."""
    return UnreadableFile(str(path), "a file", trouble.strerror or "none", "Check the name.")
