"""The design interview as a page, for the host: one question at a time, then what the design can show."""

from edgeshift.web.design.view import BEGIN, DOORS

__all__ = ["BEGIN", "DOORS"]
