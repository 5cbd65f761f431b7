"""Signal over beam."""

from __future__ import annotations

import numpy as np
import pytest
from invented import ENERGY, curve, scan

from edgeshift.recipe.knobs import Recipe
from edgeshift.records.scan import Channel, Place
from edgeshift.reduction.pipeline import flagged, formed
from edgeshift.reduction.steps import divide


def test_a_transmitted_beam_becomes_a_logarithm():
    i0, mu = np.linspace(2, 1.5, len(ENERGY)), 0.3 + 0.5 * curve(1.0)
    made = scan(
        channels={
            "transmitted": Channel("transmitted", (i0 * np.exp(-mu))[None, :], "V", ("it",)),
            "i0": Channel("i0", i0[None, :], "V", ("i0",)),
        }
    )
    found = formed(flagged((made,), Recipe()), Recipe())[0]
    np.testing.assert_allclose(found.curve.value, mu, rtol=1e-9)


def test_a_scan_that_ran_downwards_is_turned_and_nothing_else():
    signal = curve(1.0)
    up = scan("scan-001", signal)
    down = scan("scan-002", signal[::-1], energy_ev=ENERGY[::-1], direction="down")
    one, two = (formed(flagged((s,), Recipe()), Recipe())[0].curve for s in (up, down))
    np.testing.assert_allclose(one.value, two.value)
    np.testing.assert_allclose(one.energy_ev, two.energy_ev)


def test_a_clean_reference_takes_out_what_the_beam_monitor_adds():
    structure = 1 + 0.1 * np.sin(ENERGY / 3)
    clean = scan("scan-002", 2 * structure, place=Place("bare gold", "1"))
    clay = scan("scan-001", structure * curve(1.0), place=Place("RAW-A", "1"))
    recipe = Recipe.model_validate({"divide": {"i0": "reference", "reference": "bare gold"}})
    found = formed(flagged((clay, clean), recipe), recipe)
    np.testing.assert_allclose(found[0].curve.value, curve(1.0) / 2, rtol=1e-9)


def test_an_absent_reference_is_said_and_i0_alone_is_used():
    recipe = Recipe.model_validate({"divide": {"i0": "reference", "reference": "bare gold"}})
    found = formed(flagged((scan(),), recipe), recipe)[0]
    assert any("No scan of the clean reference bare gold is here" in doubt for doubt in found.curve.doubts)


def test_a_ready_made_absorption_is_not_divided_again():
    made = scan(
        channels={
            "absorption": Channel("absorption", curve(1.0)[None, :], "none", ("mu",)),
            "i0": Channel("i0", np.full((1, len(ENERGY)), 7.0), "V", ("i0",)),
        }
    )
    found = formed(flagged((made,), Recipe()), Recipe())[0]
    np.testing.assert_allclose(found.curve.value, curve(1.0))


def test_counting_noise_of_both_channels_enters_the_ratio():
    rng = np.random.default_rng(1)
    i0, fy = (rng.poisson(m, len(ENERGY)).astype(float) for m in (40_000, 10_000))
    made = scan(
        channels={
            "fluorescence": Channel("fluorescence", fy[None, :], "counts", ("fy",)),
            "i0": Channel("i0", i0[None, :], "counts", ("i0",)),
        }
    )
    found = formed(flagged((made,), Recipe()), Recipe())[0].curve
    assert np.median(found.sigma / found.value) == pytest.approx(np.hypot(1 / 100, 1 / 200), rel=0.02)


def test_the_sentence_says_how_old_the_reference_is_and_speaks_of_none_that_is_not_there():
    times = {"scan-001": "2026-03-14T12:00:00+01:00", "scan-002": "2026-03-14T14:30:00+01:00"}
    clay = scan("scan-001", place=Place("RAW-A", "1"), started=times["scan-001"])
    clean = scan("scan-002", place=Place("bare gold", "1"), started=times["scan-002"])
    recipe = Recipe.model_validate({"divide": {"i0": "reference", "reference": "bare gold"}})
    both, alone = flagged((clay, clean), recipe), flagged((clay,), recipe)
    assert "bare gold, recorded at most 2.5 h before or after it." in divide.sentence(both, recipe)
    assert "bare gold" not in divide.sentence(alone, recipe)
