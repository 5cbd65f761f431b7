"""What may be wrong while one scan is made. A scan without trouble has the defaults."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Conditions:
    """Each number is one cause, as physics has it; a planted trap sets one or two of them.

    `lost` is the stretch of the scan (shares of its points) without light. `slide_ev` is how much higher the
    scale reads than it should, `slip_deg` the same through the angle of the grating. `gain` multiplies the
    drain current, `busy` the fluorescence. `on` is the share of the beam that meets the specimen, the rest
    meets `mount`. `sag` and `sag_s` say how far and how fast an insulator charges. `upstream` means that
    the monitor stands before the mirrors and misses their marks. At `injection_ev` electrons come in and the
    yield jumps by `kick`, of which the mesh sees little. `label` is the specimen's name as it was typed.
    """

    lost: tuple[float, float] | None = None
    slide_ev: float = 0.0
    slip_deg: float = 0.0
    gain: float = 1.0
    busy: float = 1.0
    on: float = 1.0
    mount: str = ""
    sag: float = 0.0
    sag_s: float = 60.0
    upstream: bool = False
    injection_ev: float | None = None
    kick: float = 0.06
    label: str = ""
