"""What form: features, lines that earn their place, and a published line only with source, error and
caveat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from invented_scans import AL_K, line, scan, step
from pydantic import ValidationError

from edgeshift.questions.here.forms import calibrated, fitted, form, read
from edgeshift.recipe.experiment import Calibration, Experiment, Feature
from edgeshift.recipe.knobs import Recipe
from edgeshift.records.spectrum import Spectrum
from edgeshift.reduction.pipeline import flagged, reduce_edge

AT = np.arange(1550.0, 1600.0, 0.2)
LINE = {
    "gives": "share of an invented thing",
    "coefficients": (0.1, 0.5),
    "between": (0.2, 1.4),
    "error": 0.05,
    "source": "An invented paper for tests, 2026",
    "saturation": "Invented: thick specimens read lower.",
}


def curve(extra: np.ndarray, noise: float = 0.01, seed: int = 1) -> Spectrum:
    value = step(AT, 1566.0) + extra + noise * np.random.default_rng(seed).standard_normal(AT.size)
    return Spectrum("s", AT, value, np.full(AT.size, noise), np.zeros(AT.size, int), "step", "Al K")


def test_lines_stand_where_they_were_put_with_honest_errors():
    found = fitted(curve(line(AT, 1568.0, 0.9, 2.0) + line(AT, 1573.0, 0.5, 2.5)), "Al K")
    centres = sorted(each["centre"]["value"] for each in found["lines"])
    assert centres[:2] == pytest.approx([1568.0, 1573.0], abs=0.2)
    assert all(each["test"]["explained"] >= 0.10 and each["test"]["p"] <= 0.001 for each in found["lines"])


def test_a_line_that_explains_little_is_refused_however_small_its_chance():
    """Effect size beside the test: the refused line may still be far from chance."""
    found = fitted(curve(line(AT, 1568.0, 0.9, 2.0) + 0.004 * np.sin(AT), noise=0.002), "Al K")
    assert len(found["lines"]) < 5
    assert found["refused"] is None or found["refused"]["explained"] < 0.10 or found["refused"]["p"] > 0.001


def test_noise_on_a_step_earns_no_line():
    found = fitted(curve(0.0 * AT), "Al K")
    assert found["lines"] == [] and found["refused"] is not None


def test_too_few_points_are_not_fitted():
    short = curve(0.0 * AT)
    few = Spectrum("s", AT[:12], short.value[:12], short.sigma[:12], short.flags[:12], "step", "Al K")
    assert fitted(few, "Al K") is None


def test_the_steps_of_a_pair_share_their_width():
    at = np.arange(695.0, 745.0, 0.2)
    value = step(at, 708.5, 0.67) + step(at, 721.6, 0.33) + line(at, 709.0, 2.0) + line(at, 722.1, 0.9, 1.6)
    value = value + 0.01 * np.random.default_rng(2).standard_normal(at.size)
    pair = Spectrum("s", at, value, np.full(at.size, 0.01), np.zeros(at.size, int), "step", "Fe L")
    _, first, second = fitted(pair, "Fe L")["steps"]
    assert first["fwhm"] == second["fwhm"]


@pytest.mark.parametrize(
    ("kind", "windows", "expected"),
    [
        ("position", ((1566.5, 1569.5),), 1568.0),
        ("centroid", ((1567.0, 1569.0),), 1568.0),
        ("height", ((1590.0, 1598.0),), 1.0),
        ("ratio", ((1567.8, 1568.2), (1590.0, 1598.0)), 1.87),
    ],
)
def test_a_feature_is_read_in_its_windows_with_its_error(kind, windows, expected):
    found = read(Feature(kind=kind, windows=windows), curve(line(AT, 1568.0, 0.9, 2.0)))
    assert found["value"] == pytest.approx(expected, abs=0.12)
    assert 0 < found["sigma"] < 0.1


def test_a_feature_beyond_the_scan_has_no_number():
    assert math.isnan(read(Feature(kind="height", windows=((1700.0, 1710.0),)), curve(0.0 * AT))["value"])


@pytest.mark.parametrize("part", ["source", "error", "saturation"])
def test_a_calibration_without_source_error_or_caveat_is_refused(part):
    with pytest.raises(ValidationError, match=part):
        Calibration.model_validate({key: value for key, value in LINE.items() if key != part})


def test_a_calibration_without_its_feature_is_refused():
    with pytest.raises(ValidationError, match="the calibration at Al K needs the feature"):
        Experiment.model_validate({"edges": [{"edge": "Al K", "calibration": LINE}]})


def test_a_published_line_gives_its_quantity_with_never_less_than_its_own_error():
    found = calibrated(Calibration.model_validate(LINE), {"value": 0.8, "sigma": 0.2})
    assert found["value"] == pytest.approx(0.5)
    assert found["sigma"] == pytest.approx(math.hypot(0.05, 0.1))
    assert found["source"] and found["saturation"]


def test_outside_its_range_a_published_line_gives_nothing():
    found = calibrated(Calibration.model_validate(LINE), {"value": 1.6, "sigma": 0.2})
    assert found["value"] is None and "from 0.2 to 1.4, found 1.6" in found["reason"]


def test_none_is_built_in():
    assert Experiment().edges == ()
    assert Experiment.model_validate({"edges": [{"edge": "Fe L"}]}).edges[0].calibration is None


def test_every_kept_spot_of_an_edge_is_told():
    scans = flagged(
        [scan(AL_K, step(AL_K, 1566.5, 0.4) + line(AL_K, 1568.0, 0.3, 2.5), edge="Al K")], Recipe()
    )
    edge_set = reduce_edge("Al K", scans, Recipe(), frozenset())
    feature = Feature(kind="position", windows=((1566.0, 1570.0),))
    (spot,) = form(edge_set, feature, None)["spots"]
    assert spot["feature"]["value"] == pytest.approx(1568.0, abs=0.4)
    assert spot["fit"]["lines"] and spot["calibrated"] is None
