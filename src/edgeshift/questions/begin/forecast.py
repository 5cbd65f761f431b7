"""From weighed shapes to minutes: an 80 % interval, its middle, and the fan that is drawn."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from edgeshift.numerics.pumping import Shapes

SHIFT_MIN = 480.0
"""Minutes; what lies farther ahead than a shift is as good as never."""
AT = (0.1, 0.5, 0.9)
FAN_AT = (0.1, 0.25, 0.5, 0.75, 0.9)


class Minutes(NamedTuple):
    """Minutes from the last reading; None: later than a shift, perhaps never."""

    value: float | None
    low: float | None
    high: float | None


def forecast(shapes: Shapes, limit_mbar: float) -> Minutes:
    """The middle and the 80 % interval of the minutes until the typed limit."""
    low, value, high = (at if at <= SHIFT_MIN else None for at in shapes.minutes_to(limit_mbar, AT))
    return Minutes(value, low, high)


def fan(shapes: Shapes, ahead_min: float, points: int = 33) -> dict[str, list[float]]:
    """Pressures to come, mbar, at minutes of the log's clock: the 80 % and 50 % ranges and the middle."""
    ahead = np.linspace(0.0, ahead_min, points)
    low, quarter, middle, most, high = shapes.pressure(ahead, FAN_AT)
    rows = {"low": low, "quarter": quarter, "middle": middle, "three_quarters": most, "high": high}
    return {"minutes": (shapes.now + ahead).tolist(), **{name: row.tolist() for name, row in rows.items()}}
