"""What a practice shift truly held, in words; the practice beamline itself speaks to nobody."""

from __future__ import annotations

from collections.abc import Mapping


def truths(edges: Mapping) -> list[str]:
    """One line for each edge: the declared feature of each arm as a perfect instrument of this width sees it.

    `edges` maps an edge to a record with `feature`, `arms` and `unblurred` (before the instrument's width).
    """
    lines = ["What was put in, invented, after the instrument's blurring (before it):"]
    for edge, truth in edges.items():
        arms = ", ".join(
            f"{{arm:{arm}}} {value:.3f} ({truth.unblurred[arm]:.3f})" for arm, value in truth.arms.items()
        )
        lines.append(f"  {edge}, {truth.feature.words}: {arms}")
    return lines
