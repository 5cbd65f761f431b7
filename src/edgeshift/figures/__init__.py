"""Answers into descriptions of marks, scales and labels: data, not pixels."""

from edgeshift.figures.board import summary
from edgeshift.figures.choosing import figure_of
from edgeshift.figures.expected import answering, expected
from edgeshift.figures.ghosts import with_ghosts
from edgeshift.figures.strips import two_strips
from edgeshift.figures.tables import tables_of
from edgeshift.figures.window import windowed

__all__ = [
    "answering",
    "expected",
    "figure_of",
    "summary",
    "tables_of",
    "two_strips",
    "windowed",
    "with_ghosts",
]
