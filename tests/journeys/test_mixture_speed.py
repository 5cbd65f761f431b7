"""Short versions of the benchmarks of shares: equal results always, ratios with room for a busy machine."""

from __future__ import annotations

from benchmark_modules import benchmark
from conftest import skip_unless_required

from edgeshift.numerics.stacks import has_numba


def test_the_search_over_sets_names_the_same_best_and_is_far_faster():
    found = benchmark("mixture_speed").fan_speed(refs=12, copies=100, whole=3)
    assert found.same
    assert found.loop > 50 * found.ours


def test_a_stack_agrees_with_one_fit_after_another_and_is_far_faster():
    if not has_numba():
        skip_unless_required("numba is not installed (pip install 'edgeshift[maps]')")
    found = benchmark("mixture_speed").stack_speed(60_000, some=300, rounds=3)
    assert found.apart <= 1e-8
    assert found.times("loop") > 15


def test_memory_does_not_grow_with_the_pixels(tmp_path):
    memory = benchmark("stack_memory")
    few, many = (memory.measured(pixels, tmp_path)[0] for pixels in (100_000, 400_000))
    assert many - few <= memory.GROWS_AT_MOST_MB
