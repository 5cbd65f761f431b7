"""The same answers and acts as JSON, so that a notebook or another page can ask."""

from edgeshift.web.api import acts, answers
from edgeshift.web.api.description import describing

DOORS = (*answers.DOORS, *acts.DOORS, describing((*answers.DOORS, *acts.DOORS)))

__all__ = ["DOORS"]
