"""The story so far, for whoever was at lunch: what was done, decided and found, rewound to any minute."""

from edgeshift.web.story.view import DOORS

__all__ = ["DOORS"]
