"""Paper ballots, for halls that allow no phones."""

from edgeshift.web.paper.view import DOORS

__all__ = ["DOORS"]
