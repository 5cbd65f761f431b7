"""Turn readings into rates: offset, gain, sign, dwell, and dead time undone exactly once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from edgeshift.numerics.counting import live_rate, live_rate_sigma
from edgeshift.numerics.noise import line_residuals, robust_spread
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.flags import BY_CODE
from edgeshift.records.scan import Channel, Scan
from edgeshift.records.spectrum import Pass

NAME = "rates"
AFTER = None

ENOUGH_TO_TELL, SURELY_LESS = 60, 5.0
"""From so many points on the scatter of readings tells whether they are counts. Beside their statistics true
ones scatter by 1, give or take 1.4 over the root of their number; this is three and a half times that."""


def run(passes: tuple[Pass, ...], recipe: Recipe) -> tuple[Pass, ...]:
    """Every channel becomes one rate (points,): its elements are corrected one by one, then summed.

    A dead element is dropped and the pass says so. Counting statistics only where the channel counts;
    elsewhere the error is left open (NaN) for the step that sees the ratio's own noise.
    """
    return tuple(_rated(each, recipe) for each in passes)


def sentence(passes: tuple[Pass, ...], recipe: Recipe) -> str:
    """One methods sentence."""
    channels = [c for each in passes for c in each.scan.channels.values()]
    if any(c.corrected for c in channels):
        return "The file's own dead-time corrected counts were used as they are."
    if any(c.dead_fraction is not None for c in channels):
        return "Counts were divided by the live share that the detector reported."
    times = sorted({c.dead_time_s for c in channels if c.dead_time_s})
    if times:
        said = ", ".join(f"{1e6 * time:.3g} µs" for time in times)
        return f"Count rates were corrected for a non-paralysable dead time of {said}."
    return "Readings were used without a dead-time correction."


def dead_share(channel: Channel, dwell_s: np.ndarray) -> np.ndarray | None:
    """Share of the light that the counter missed (points,), the largest of its elements; None: unknown."""
    if channel.dead_fraction is not None:
        return channel.dead_fraction.max(axis=0)
    if channel.dead_time_s:
        return (_per_second(channel, channel.raw, dwell_s) * channel.dead_time_s).max(axis=0)
    return None


def _rated(each: Pass, recipe: Recipe) -> Pass:
    rates, sigmas, doubts = dict(each.rates), dict(each.rate_sigma), list(each.doubts)
    flags = each.flags.copy()
    for role, channel in each.scan.channels.items():
        channel, dropped = _alive(channel)
        doubts += dropped
        rates[role], sigmas[role] = _rate(channel, each.scan)
        share = dead_share(channel, each.scan.dwell_s)
        if share is not None and role == each.scan.signal:
            flags = flags | np.where(share > recipe.rates.note_dead_time, BY_CODE["dead-time"].bit, 0)
    return replace(each, rates=rates, rate_sigma=sigmas, flags=flags, doubts=tuple(doubts))


def _alive(channel: Channel) -> tuple[Channel, list[str]]:
    """The channel without its dead elements, and a sentence for each that was dropped."""
    dead = np.array(
        [np.ptp(row[np.isfinite(row)]) == 0 if np.isfinite(row).any() else True for row in channel.raw]
    )
    if len(channel.raw) == 1 or not dead.any() or dead.all():
        return channel, []
    said = [
        f"The element {name} never changed, so it was left out of the sum."
        for name, is_dead in zip(channel.columns, dead, strict=True)
        if is_dead
    ]
    shares = channel.dead_fraction
    kept = tuple(n for n, is_dead in zip(channel.columns, dead, strict=True) if not is_dead)
    alive = replace(
        channel,
        raw=channel.raw[~dead],
        columns=kept,
        dead_fraction=None if shares is None else shares[~dead],
    )
    return alive, said


def _rate(channel: Channel, scan: Scan) -> tuple[np.ndarray, np.ndarray]:
    per_second = _per_second(channel, channel.raw, scan.dwell_s)
    dark = _per_second(channel, np.full_like(channel.raw, channel.offset), scan.dwell_s)
    if not channel.counts:
        value = (channel.sign * channel.gain * (channel.raw - channel.offset)).sum(axis=0)
        return value, np.full(len(value), np.nan)
    lost = _loss(channel)
    live = live_rate(per_second, *lost)
    sigma = live_rate_sigma(per_second, scan.dwell_s, *lost)
    if channel.corrected and channel.dead_fraction is not None:
        sigma = sigma / np.sqrt(1 - channel.dead_fraction)
    value = channel.sign * channel.gain * (live - dark)
    sigma = np.sqrt(((channel.gain * sigma) ** 2).sum(axis=0))
    return value.sum(axis=0), sigma * _steadiness(scan.energy_ev, value.sum(axis=0), sigma)


def _steadiness(energy_ev: np.ndarray, value: np.ndarray, sigma: np.ndarray) -> float:
    """The readings' scatter over what counting gives, where it is clearly less; else 1.

    Counts can scatter more than their statistics, as lines and beams do, and never less: a column that does
    is a current turned into pulses, and its pulses are no statistics.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        scatter = float(robust_spread(line_residuals(energy_ev, value) / sigma[1:-1]))
    least = 1.0 - SURELY_LESS / np.sqrt(value.size)
    return scatter if value.size >= ENOUGH_TO_TELL and scatter < least else 1.0


def _loss(channel: Channel) -> tuple[float, np.ndarray | float]:
    """What is still to be undone: (dead time in s, dead share). A corrected column owes nothing."""
    if channel.corrected:
        return 0.0, 0.0
    if channel.dead_fraction is not None:
        return 0.0, channel.dead_fraction
    return channel.dead_time_s, 0.0


def _per_second(channel: Channel, reading: np.ndarray, dwell_s: np.ndarray) -> np.ndarray:
    return reading / dwell_s if channel.unit == "counts" else reading
