"""The entrance: joining by the code on the Stage, or as the host by the word in the terminal."""

from edgeshift.web.entrance.view import DOORS, host_door

__all__ = ["DOORS", "host_door"]
