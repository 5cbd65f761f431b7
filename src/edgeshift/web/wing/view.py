"""The Wing, for the host's laptop."""

from __future__ import annotations

from edgeshift.web.door import Door

DOORS: tuple[Door, ...] = ()
