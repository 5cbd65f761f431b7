"""edgeshift: from one shift of raw X-ray absorption scans to answers a visiting group can stand behind.

>>> import edgeshift
>>> with edgeshift.Experiment("riverbank") as shift:
...     for answer in shift.ask("real"):
...         print(answer.sentence)
"""

from __future__ import annotations

__version__ = "0.1.0"
__all__ = ["Answer", "Experiment", "Recipe", "Refusal", "autopsy", "compare", "presence", "read", "reduce",
           "shares"]  # fmt: skip


def __getattr__(name: str):
    """Names come when they are asked for, so that importing edgeshift costs nothing."""
    if name not in __all__:
        raise AttributeError(f"module 'edgeshift' has no attribute {name!r}")
    from edgeshift.actions import library

    _show_in_notebooks()
    return getattr(library, name)


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__])


def _show_in_notebooks() -> None:
    """Answers and figures draw themselves where a notebook asks; the records know no drawing."""
    from edgeshift.drawing.notebook import svg_of
    from edgeshift.records.answer import Answer
    from edgeshift.records.figure import Figure

    Answer._repr_svg_ = svg_of
    Figure._repr_svg_ = svg_of
