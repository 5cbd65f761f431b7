"""The Pocket."""

from edgeshift.web.pocket.view import DOORS

__all__ = ["DOORS"]
