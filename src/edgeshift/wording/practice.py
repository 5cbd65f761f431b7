"""What a practice shift truly held, in words; the practice beamline itself speaks to nobody."""

from __future__ import annotations

from collections.abc import Mapping

STEPS_ARE_TYPED = (
    "Step heights are invented edge by edge and follow no material."
    " Ratios of atoms say nothing of what was put in."
)
"""Said wherever the truth is told: amounts cannot be checked against it."""


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
    return [*lines, STEPS_ARE_TYPED]


def scored(found) -> list[str]:
    """The score of a practice shift, one line a trap and one a false alarm, each with its time of day.

    `found` has `calls`, records with `outcome`, `trap`, `words`, `by`, `codes`, `files` and `moment`. `clean`
    is how many scans no trap touched, `clean_alarms` how many false alarms are about none but those; `came`
    of `planned` files are there.
    """
    hits = [call for call in found.calls if call.outcome == "hit"]
    planted = [call for call in found.calls if call.outcome != "false-alarm"]
    alarms = [call for call in found.calls if call.outcome == "false-alarm"]
    caught = f"Caught {len(hits)} of {len(planted)} planted traps"
    lines = [] if found.came == found.planned else [unfinished(found.came, found.planned)]
    others = len(alarms) - found.clean_alarms
    more = f", and {others} on scans that a trap touches" if others else ""
    lines += [f"{caught}; false alarms: {found.clean_alarms} on {found.clean} clean scans{more}."]
    asked = [call for call in planted if call.named is not None]
    if asked:
        named = sum(call.named for call in asked)
        lines.append(f"What is here names {named} rightly of {len(asked)} that look like an element.")
    lines += [f"  {call.moment[11:16]}  {call.trap:4} {_outcome(call)}  {call.words}" for call in planted]
    return [
        *lines,
        *(f"  {call.moment[11:16]}  false alarm: {', '.join((*call.codes, *call.files))}" for call in alarms),
    ]


def unfinished(came: int, planned: int) -> str:
    """Of a shift that was cut short."""
    came_so_far = f"The shift is unfinished: {came} of {planned} files came."
    return f"{came_so_far} Traps that could not be told yet are left out."


def _outcome(call) -> str:
    named = {None: "", True: " Named rightly.", False: " Not named rightly."}[call.named]
    if call.outcome == "miss":
        return f"missed.{named}"
    who = "the tool" if call.by == "tool" else f"the {call.by}"
    return f"caught by {who} ({', '.join(call.codes)}).{named}"
