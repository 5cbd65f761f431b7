"""What people do, as JSON."""

from __future__ import annotations

from edgeshift.web.door import Door

DOORS: tuple[Door, ...] = ()
