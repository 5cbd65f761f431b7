"""The way into the room: its address, its code, and both as a square for a phone's camera."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple
from urllib.parse import urlencode

import segno
from markupsafe import Markup

from edgeshift.drawing.tokens import LIGHT
from edgeshift.web.access import LOOPBACK
from edgeshift.web.house import House

AIR = 4
"""Light modules around the square, as its standard asks (ISO/IEC 18004)."""


class WayIn(NamedTuple):
    """Where guests find the page, with which code; `square` holds both."""

    address: str
    code: str
    square: Markup


def way_in(house: House) -> WayIn | None:
    """How guests join a shared room; None where it is not shared, or nobody could reach it."""
    others = [each for each in house.addresses if not _is_own(each)]
    if not house.lan or not others:
        return None
    code = house.doors.join_code
    return WayIn(others[0].removeprefix("http://"), code, _square(others[0], code))


def _is_own(address: str) -> bool:
    name = address.removeprefix("http://").rpartition(":")[0]
    return name == "localhost" or name in LOOPBACK


@lru_cache(maxsize=4)
def _square(address: str, code: str) -> Markup:
    """Always dark on light, also in a dark room: cameras read nothing else."""
    drawn = segno.make(f"{address}/join?{urlencode({'code': code})}", micro=False, error="m")
    return Markup(
        drawn.svg_inline(
            border=AIR, dark=LIGHT.ink, light=LIGHT.sheet, omitsize=True, svgclass="square", lineclass=None
        )
    )
