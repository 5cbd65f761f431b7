"""The beamline profile: which column is what, with units, dead times, ceilings, angles and flux."""

from __future__ import annotations

import re
from typing import Literal

from pydantic import Field, field_validator

from edgeshift.recipe.knobs import Section

Role = Literal["i0", "electron-yield", "fluorescence", "transmitted", "reference", "absorption"]
Unit = Literal["counts", "counts/s", "V", "A", "none"]


class EnergyColumn(Section):
    """Where the energy stands: a column in eV or keV, or a monochromator angle in degrees."""

    column: str = Field(description="Name of the column, or its number as '#1'.")
    unit: Literal["eV", "keV", "deg"] = Field("eV", description="Unit of that column.")
    d_spacing_angstrom: float | None = Field(
        None, gt=0, description="Crystal spacing for an angle; empty means it stands in the file's header."
    )


class ChannelColumns(Section):
    """One detector: its columns and how to undo what the electronics did."""

    role: Role = Field(description="What the detector measures.")
    columns: tuple[str, ...] = Field(min_length=1, description="One column for each detector element.")
    unit: Unit = Field("counts", description="Unit of the readings; counting noise only for counts.")
    offset: float = Field(0.0, description="Reading with no light, in the same unit.")
    gain: float = Field(1.0, description="Factor from reading to signal.")
    sign: Literal[1, -1] = Field(1, description="-1 where a negative current is the signal.")
    dead_time_s: float = Field(0.0, ge=0, description="Non-paralysable dead time of each element, in s.")
    dead_time_columns: tuple[str, ...] = Field(
        (), description="Columns with the dead share that the detector reported, one per element."
    )
    dead_time_unit: Literal["percent", "share", "factor"] = Field(
        "percent", description="Unit of those columns; a factor is what raw counts are multiplied by."
    )
    corrected: bool = Field(False, description="True where the file already undid the dead time.")
    ceiling: float | None = Field(None, description="Reading at which the electronics clip.")

    @field_validator("gain")
    @classmethod
    def _gain_is_not_zero(cls, gain: float) -> float:
        if gain == 0:
            raise ValueError("a gain of zero leaves no signal")
        return gain


class PlacePatterns(Section):
    """How a file says where it was measured: header keys, or named groups in its file name."""

    specimen_key: str | None = Field(None, description="Header key that holds the specimen's name.")
    spot_key: str | None = Field(None, description="Header key that holds the spot's name.")
    file_name: str | None = Field(
        None, description="Regular expression with groups 'specimen' and, if there, 'spot'."
    )

    @field_validator("file_name")
    @classmethod
    def _is_a_regular_expression(cls, text: str | None) -> str | None:
        try:
            groups = re.compile(text).groupindex if text is not None else {"specimen": 1}
        except re.error as trouble:
            raise ValueError(f"is not a regular expression: {trouble}") from None
        if "specimen" not in groups:
            raise ValueError("needs a group named 'specimen', as (?P<specimen>[^_]+)")
        return text


class Overheads(Section):
    """Minutes and seconds that are not measuring. Typed by the host."""

    settle_s: float = Field(0.5, ge=0, description="Settling per point, in s.")
    move_min: float = Field(1.5, ge=0, description="Moving to another specimen, in min.")
    edge_change_min: float = Field(2.0, ge=0, description="Changing to another edge, in min.")


class BeamlineProfile(Section):
    """Everything about the instrument that the files do not say."""

    name: str = Field("unnamed beamline", description="What the host calls it.")
    energy: EnergyColumn | None = Field(None, description="Where the energy stands.")
    channels: tuple[ChannelColumns, ...] = Field((), description="The detectors to be taken.")
    signal: Role | None = Field(None, description="The detector that answers questions; empty: the first.")
    dwell_column: str | None = Field(None, description="Column with the time on each point, in s.")
    dwell_s: float | None = Field(None, gt=0, description="Time on each point, where no column says it.")
    clock_column: str | None = Field(None, description="Column with seconds since the start of the scan.")
    injections_key: str | None = Field(
        None, description="Header key with the seconds after the start at which electrons were added."
    )
    start_key: str | None = Field(None, description="Header key with the time the scan began.")
    end_key: str | None = Field(None, description="Header key with the time the scan ended.")
    zone: str | None = Field(None, description="Zone of those clocks, as +01:00.")
    points_key: str | None = Field(
        None, description="Header key with the number of points that the scan will have."
    )
    edge_key: str | None = Field(None, description="Header key that names the edge, as 'Al K'.")
    place: PlacePatterns = PlacePatterns()
    incidence_deg: float | None = Field(None, gt=0, le=90, description="Beam to specimen surface, degrees.")
    exit_deg: float | None = Field(None, gt=0, le=90, description="Specimen surface to detector, degrees.")
    polarisation: str | None = Field(None, description="As the host says it, for layered materials.")
    flux_per_s: float | None = Field(None, gt=0, description="Photons per second on the specimen.")
    beam_mm2: float | None = Field(None, gt=0, description="Beam section normal to the beam, mm².")
    energy_from_ev: float | None = Field(None, gt=0, description="Lowest energy that can be reached, eV.")
    energy_to_ev: float | None = Field(None, gt=0, description="Highest energy that can be reached, eV.")
    resolving_power: float | None = Field(None, gt=0, description="E/ΔE, as the host states it.")
    overheads: Overheads = Overheads()
