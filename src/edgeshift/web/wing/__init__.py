"""The Wing."""

from edgeshift.web.wing.view import DOORS

__all__ = ["DOORS"]
