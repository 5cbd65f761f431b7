"""The Wing, for the host's laptop: worries, the Stage, cards, notes, what was set aside, and the text."""

from edgeshift.web.wing import experiment, scans, view

DOORS = (*view.DOORS, *scans.DOORS, *experiment.DOORS)

__all__ = ["DOORS"]
