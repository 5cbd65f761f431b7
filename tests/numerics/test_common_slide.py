"""A slide that many scans have in common."""

import numpy as np
import pytest

from edgeshift.numerics.common_slide import Slid, best_jump, grows_with_energy, steady_drift


def slides(size, at_s, grows=False, seed=0, edges=(700.0, 1567.0)):
    rng = np.random.default_rng(seed)
    found = []
    for group in range(8):
        energy = edges[group % len(edges)]
        own = rng.normal(0.0, 0.05)
        for when in np.arange(3) * 3000.0 + 300.0 * group:
            growth = (energy / max(edges)) ** 2 if grows else 1.0
            moved = own + size * growth * (when >= at_s) + rng.normal(0.0, 0.01)
            found.append(Slid(group, float(when), energy, float(moved), 0.012))
    return found


@pytest.mark.parametrize("size", [0.35, -0.2, 0.1])
def test_a_jump_is_found_with_its_moment_and_its_size(size):
    found = best_jump(slides(size, 4000.0))
    assert found.slide_ev == pytest.approx(size, abs=0.02)
    assert 3300.0 < found.at_s <= 4500.0
    assert abs(found.slide_ev) > 5 * found.sigma_ev


def drifting(size, per_h, seed):
    return [
        s._replace(slide_ev=s.slide_ev + per_h * s.when_s / 3600.0) for s in slides(size, 4000.0, seed=seed)
    ]


@pytest.mark.parametrize("per_h", [0.03, -0.03])
def test_an_ordinary_drift_is_not_counted_into_a_jump(per_h):
    found = [best_jump(drifting(0.35, per_h, seed)) for seed in range(20)]
    assert abs(np.mean([jump.slide_ev for jump in found]) - 0.35) < 0.006
    off = [(jump.slide_ev - 0.35) / jump.sigma_ev for jump in found]
    assert np.mean(np.abs(off) < 2.0) >= 0.85


def test_a_drift_that_no_scan_tells_makes_the_jump_less_sure():
    one_before = [Slid(group, 0.0, 700.0, 0.0, 0.01) for group in range(4)]
    after = [Slid(group, 5400.0, 700.0, 0.35, 0.01) for group in range(4)]
    sooner = [slid._replace(when_s=60.0) for slid in after]
    late, soon = best_jump(one_before + after), best_jump(one_before + sooner)
    assert soon.sigma_ev < 0.01 < 0.05 < late.sigma_ev


def test_without_a_jump_none_is_sure():
    scores = [
        abs(j.slide_ev) / j.sigma_ev for j in (best_jump(slides(0.0, 4000.0, seed=n)) for n in range(20))
    ]
    assert np.median(scores) < 4.0
    assert max(abs(best_jump(slides(0.0, 4000.0, seed=n)).slide_ev) for n in range(20)) < 0.05


def test_a_slide_that_grows_with_energy_is_told_from_a_constant_one():
    growing, constant = slides(0.4, 4000.0, grows=True), slides(0.4, 4000.0)
    low, high = grows_with_energy(growing, best_jump(growing))
    assert high == pytest.approx(0.4, abs=0.03) and low == pytest.approx(0.4 * (700 / 1567) ** 2, abs=0.03)
    assert grows_with_energy(constant, best_jump(constant)) is None


def test_scans_on_one_side_only_show_no_jump():
    assert best_jump([]) is None
    assert best_jump([Slid(0, 0.0, 700.0, 0.0, 0.01), Slid(1, 9.0, 700.0, 0.3, 0.01)]) is None


def test_a_steady_drift_is_told_from_a_jump_by_what_each_leaves():
    moved = [slid._replace(slide_ev=slid.slide_ev + 0.06 * slid.when_s / 3600.0) for slid in slides(0.0, 0.0)]
    drift = steady_drift(moved)
    assert drift.per_h == pytest.approx(0.06, abs=0.01) and drift.per_h > 5 * drift.sigma_per_h
    assert drift.chi2 < best_jump(moved).chi2
    jumped = slides(0.3, 4000.0)
    assert best_jump(jumped).chi2 < steady_drift(jumped).chi2


def test_scans_of_one_moment_show_no_drift():
    assert steady_drift([]) is None
    assert steady_drift([Slid(0, 5.0, 700.0, 0.0, 0.01), Slid(1, 9.0, 700.0, 0.3, 0.01)]) is None
