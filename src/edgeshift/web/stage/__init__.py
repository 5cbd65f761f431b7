"""The Stage, for the projector: the strip, one sentence, one question, one picture, the day line."""

from edgeshift.web.stage.view import DOORS

__all__ = ["DOORS"]
