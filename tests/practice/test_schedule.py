"""The order of the day keeps treatment and time apart."""

import numpy as np
import pytest

from edgeshift.practice.schedule import asked_energies, planned

POINTS_AND_MINUTES = {
    "Al K": (209, 4.2),
    "Fe L": (240, 4.4),
    "K L": (141, 1.9),
    "Ti L": (193, 4.8),
    "Si K": (174, 4.1),
}


@pytest.fixture(scope="module")
def scans(riverbank):
    return planned(riverbank, np.random.default_rng(3))


@pytest.mark.parametrize("edge", POINTS_AND_MINUTES)
def test_scans_are_as_long_as_a_host_expects(riverbank, edge):
    points, minutes = POINTS_AND_MINUTES[edge]
    model = riverbank.edges[edge]
    asked = asked_energies(model)
    assert (np.diff(asked) > 0).all()
    assert asked.size == pytest.approx(points, abs=2)
    lasts = asked.size * (riverbank.beamline.settle_s + model.dwell_s) / 60
    assert lasts == pytest.approx(minutes, abs=0.1)


@pytest.mark.parametrize("edge", POINTS_AND_MINUTES)
def test_treatment_and_order_are_nearly_uncorrelated(scans, edge):
    fired = [scan.specimen.startswith("PIT") for scan in scans if scan.edge == edge]
    assert sum(fired) * 2 == len(fired)
    assert abs(np.corrcoef(fired, np.arange(len(fired)))[0, 1]) < 0.2


def test_no_scan_begins_before_the_last_one_ended(riverbank, scans):
    for before, after in zip(scans, scans[1:], strict=False):
        lasts = before.asked_ev.size * (riverbank.beamline.settle_s + before.dwell_s)
        assert after.starts_s - before.starts_s - lasts >= riverbank.beamline.move_s[0]


def test_aluminium_is_scanned_twice_on_one_spot_and_once_on_another(scans):
    spots = [scan.spot for scan in scans if scan.edge == "Al K" and scan.specimen == "RAW-B"]
    assert sorted(spots) == ["s1", "s1", "s2"]
