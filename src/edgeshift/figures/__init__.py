"""Answers into descriptions of marks, scales and labels: data, not pixels."""

from edgeshift.figures.board import summary
from edgeshift.figures.choosing import figure_of

__all__ = ["figure_of", "summary"]
