"""The entrance: joining by the code on the Stage, or as the host by the word in the terminal."""

from edgeshift.web.entrance.view import DOORS

__all__ = ["DOORS"]
