"""Which column is what: as somebody said, as the experiment says, or as the file leaves no doubt about."""

from __future__ import annotations

from collections.abc import Mapping
from shlex import quote
from typing import NamedTuple, get_args

from edgeshift.actions.new import text_of
from edgeshift.errors import NotAScan, UnclearColumns
from edgeshift.recipe.beamline import BeamlineProfile, ChannelColumns, EnergyColumn, Role, Unit
from edgeshift.recipe.experiment import Experiment
from edgeshift.records.table import RawTable

ROLES = get_args(Role)
UNITS = get_args(Unit)
ENERGY_UNITS = ("eV", "keV", "deg")


class Mapped(NamedTuple):
    """A profile, where it came from (given, answers, experiment, proposal), and what is doubtful in it."""

    profile: BeamlineProfile
    source: str
    doubts: tuple[str, ...] = ()


def profile_from(data: bytes, name: str) -> BeamlineProfile:
    """The beamline profile in the bytes of a YAML file. Raises TextRefused with its line."""
    from edgeshift.formats.experiment_text import load_profile

    return load_profile(text_of(data, name), name)


def mapped(
    table: RawTable, experiment: Experiment, profile: BeamlineProfile | None, answers: Mapping[str, str]
) -> Mapped:
    """How this table is to be read. Raises UnclearColumns with what to type where nobody can say.

    The doubts of a proposal that is not certain stand as notes on that refusal.

    `answers` are {"energy": column, role: column}; a unit may follow as in "I0:counts", and more elements
    of one detector as in "sdd1+sdd2:counts".
    """
    if profile is not None:
        return Mapped(profile, "given")
    if answers:
        return Mapped(_from_answers(table, answers, experiment.beamline), "answers")
    if experiment.beamline.energy is not None:
        return Mapped(experiment.beamline, "experiment")
    return _proposed(table, experiment.beamline)


def _proposed(table: RawTable, said: BeamlineProfile) -> Mapped:
    from edgeshift.formats.proposal import propose

    proposal = propose(table)
    if proposal.certain:
        return Mapped(_laid_over(proposal.profile, said), "proposal", tuple(proposal.doubts))
    question = _unclear(table, "columns that leave doubts")
    for doubt in proposal.doubts:
        question.add_note(doubt)
    raise question


def _laid_over(proposed: BeamlineProfile, said: BeamlineProfile) -> BeamlineProfile:
    """The proposal, with whatever the experiment text says about the beamline in its place."""
    return proposed.model_copy(update={name: getattr(said, name) for name in said.model_fields_set})


def _unclear(table: RawTable, found: str) -> UnclearColumns:
    return UnclearColumns(table.file, "to know which column is what", found, _what_to_type(table))


def _what_to_type(table: RawTable) -> str:
    """The proposal as options, to be checked and typed; in general words where there is none to give."""
    guess = _guess(table)
    if guess.energy is None or not guess.channels or guess.energy.unit == "deg":
        return (
            "Say it as --column energy=NAME --column i0=NAME and a signal (electron-yield=, fluorescence=,"
            " transmitted=), or absorption=NAME for a ready-made one; `edgeshift look` shows the names."
        )
    said = [f"energy={guess.energy.column}:{guess.energy.unit}"]
    said += [f"{channel.role}={'+'.join(channel.columns)}:{channel.unit}" for channel in guess.channels]
    if guess.channels[0].role != "absorption" and all(channel.role != "i0" for channel in guess.channels):
        said.append("i0=NAME")
    return "If this is right, add " + " ".join(f"--column {quote(one)}" for one in said) + "."


def _from_answers(table: RawTable, answers: Mapping[str, str], said: BeamlineProfile) -> BeamlineProfile:
    unknown = sorted(set(answers) - {"energy", *ROLES})
    if unknown:
        needed = f"energy, {', '.join(ROLES)}"
        raise UnclearColumns(f"--column {unknown[0]}=", needed, repr(unknown[0]), "Choose one of them.")
    for role, text in answers.items():
        for name in _split(text, ENERGY_UNITS if role == "energy" else UNITS)[0]:
            _there(table, name)
    if "energy" not in answers or len(answers) < 2:
        raise _unclear(table, f"{', '.join(answers)} alone")
    proposed = _guess(table)
    names, unit = _split(answers["energy"], ENERGY_UNITS)
    guessed = proposed.energy if proposed.energy and (proposed.energy.column,) == names else None
    energy = guessed if guessed and unit is None else EnergyColumn(column=names[0], unit=unit or "eV")
    channels = tuple(_channel(role, text, proposed) for role, text in answers.items() if role != "energy")
    over = {"energy": energy, "channels": channels, "signal": None}
    return _laid_over(proposed, said).model_copy(update=over)


def _there(table: RawTable, name: str) -> None:
    from edgeshift.reduction.steps.columns import column_named

    try:
        column_named(table, name)
    except UnclearColumns as missing:
        needed, act = f"a column called {name!r}", "Type one of these, or its number as '#1'."
        raise UnclearColumns(table.file, needed, missing.found, act) from None


def _guess(table: RawTable) -> BeamlineProfile:
    """What the file itself suggests, for all that nobody was asked: times, places, units."""
    from edgeshift.formats.proposal import propose

    try:
        return propose(table).profile
    except NotAScan:
        return BeamlineProfile()


def _channel(role: str, text: str, proposed: BeamlineProfile) -> ChannelColumns:
    """Where nobody and no file says a unit, no counting noise is assumed: V, or none for an absorption."""
    columns, unit = _split(text, UNITS)
    guessed = next((one for one in proposed.channels if one.columns == columns), None)
    if guessed and unit in (None, guessed.unit):
        return guessed.model_copy(update={"role": role})
    return ChannelColumns(role=role, columns=columns, unit=unit or ("none" if role == "absorption" else "V"))


def _split(said: str, units: tuple[str, ...]) -> tuple[tuple[str, ...], str | None]:
    """The names in "a+b:counts", and the unit where one was said."""
    names, _, unit = said.rpartition(":")
    if unit not in units or not names:
        names, unit = said, None
    columns = tuple(part.strip() for part in names.split("+") if part.strip())
    if not columns:
        raise UnclearColumns(
            "--column", "the name of a column", repr(said), "Type it as --column i0=I0:counts."
        )
    return columns, unit
