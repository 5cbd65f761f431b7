"""The Pocket, for a phone."""

from __future__ import annotations

from edgeshift.web.door import Door

DOORS: tuple[Door, ...] = ()
