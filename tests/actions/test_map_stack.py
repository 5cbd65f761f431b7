"""A stack solved block by block: on threads, on two real workers, stopped, killed and resumed."""

from __future__ import annotations

import os
import signal

import h5py
import numpy as np
import pytest
from conftest import skip_unless_required
from invented_iron import ENERGY, FERRIC, FERROUS, iron
from scipy.optimize import nnls

from edgeshift.actions.map_stack import Job, on_window, run, solve_block
from edgeshift.actions.stack_file import open_stack
from edgeshift.errors import FolderRefused, QuestionRefused

REFERENCES = np.array([iron(FERROUS), iron(FERRIC)])
ROOM = 12 * ENERGY.size * 4
"""A block of twelve curves, so that a small stack has many."""


def stack_file(path, order="pixels"):
    rng = np.random.default_rng(6)
    amounts = np.maximum(rng.normal(0.3, 0.4, (20, 15, 2)), 0)
    values = (amounts @ REFERENCES + 0.02 * rng.standard_normal((20, 15, ENERGY.size))).astype("f4")
    values[3, 4, 7] = np.nan
    with h5py.File(path, "w") as file:
        file["od"] = values if order == "pixels" else np.moveaxis(values, -1, 0)
        file["energy"] = ENERGY
    return values


@pytest.fixture
def job(tmp_path):
    stack_file(tmp_path / "map.h5")
    stack = open_stack(tmp_path / "map.h5")
    return Job(stack, ("ferrous", "ferric"), REFERENCES, "none", np.ones(ENERGY.size, dtype=bool))


def result(path) -> dict[str, np.ndarray]:
    with h5py.File(path, "r") as file:
        return {
            name: file["shares/data"][name][()]
            for name in ("shares", "shares_errors", "misfit", "mean_curve")
        }


def test_every_curve_gets_the_shares_of_one_fit_after_another(job, tmp_path):
    values = stack_file(tmp_path / "map.h5").astype(float)
    found = result(run(job, tmp_path / "out", room=ROOM))
    slow = np.array(
        [[nnls(REFERENCES.T, c)[0] if np.isfinite(c).all() else [np.nan] * 2 for c in row] for row in values]
    )
    np.testing.assert_allclose(np.moveaxis(found["shares"], 0, -1), slow, atol=1e-8)
    assert np.isnan(found["misfit"]).sum() == 1
    whole = values.reshape(-1, ENERGY.size)
    whole = whole[np.isfinite(whole).all(axis=1)]
    np.testing.assert_allclose(found["mean_curve"], whole.mean(axis=0), atol=1e-6)


def test_both_orders_give_the_same(job, tmp_path):
    stack_file(tmp_path / "turned.h5", "energies")
    turned = Job(open_stack(tmp_path / "turned.h5"), job.names, REFERENCES, "none", job.used)
    one, other = (result(run(each, tmp_path / name, room=ROOM)) for each, name in ((job, "a"), (turned, "b")))
    for name in one:
        np.testing.assert_allclose(one[name], other[name], atol=1e-9)


def test_a_run_that_was_stopped_goes_on_where_it_was(job, tmp_path):
    def stop(done, whole):
        if done == 5:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(job, tmp_path / "out", stop, cores=1, room=ROOM)
    told = []
    found = run(job, tmp_path / "out", lambda done, whole: told.append((done, whole)), room=ROOM)
    assert told[0] == (5, 40)
    assert [done for done, _ in told] == list(range(5, 41))
    np.testing.assert_array_equal(
        result(found)["shares"], result(run(job, tmp_path / "anew", room=ROOM))["shares"]
    )


def test_a_finished_run_is_not_done_again(job, tmp_path, monkeypatch):
    first = run(job, tmp_path / "out", room=ROOM)
    monkeypatch.setattr("edgeshift.actions.map_stack.solve_block", None)
    assert run(job, tmp_path / "out", room=ROOM) == first
    assert not any((tmp_path / "out" / "parts").iterdir())


def test_another_job_never_mixes_with_what_is_there(job, tmp_path):
    run(job, tmp_path / "out", room=ROOM)
    other = Job(job.stack, job.names, 1.1 * REFERENCES, "none", job.used)
    with pytest.raises(
        FolderRefused, match="needed an empty folder or the same job, found another job's shares"
    ):
        run(other, tmp_path / "out", room=ROOM)


def test_a_file_that_changed_is_another_job(job, tmp_path):
    before = job.identity()
    os.utime(tmp_path / "map.h5", ns=(1, 1))
    assert job.identity() != before


def test_a_window_leaves_energies_out(job):
    narrow = on_window(job, (705.0, 715.0))
    part = solve_block(narrow.stack, narrow.stack.blocks()[0], narrow.tables(), narrow.used)
    assert part.summed.size == narrow.used.sum() < ENERGY.size
    with pytest.raises(QuestionRefused, match="the window: needed 5 energies, found 3"):
        on_window(job, (705.0, 705.4))


# --- on a real cluster --------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def cluster():
    """A scheduler and two workers in processes of their own."""
    try:
        from distributed import LocalCluster
    except ImportError:
        skip_unless_required("distributed is not installed (pip install 'edgeshift[cluster]')")
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, host="127.0.0.1",
        silence_logs=50,
    ) as started:  # fmt: skip
        yield started


def test_two_workers_give_what_one_core_gives(job, tmp_path, cluster):
    here = result(run(job, tmp_path / "here", cores=1, room=ROOM))
    there = result(run(job, tmp_path / "there", cluster=cluster.scheduler_address, room=ROOM))
    for name in here:
        np.testing.assert_array_equal(here[name], there[name])


def test_a_worker_that_is_killed_in_the_middle_costs_nothing(job, tmp_path, cluster):
    killed = []

    def kill_one(done, whole):
        if done == 4 and not killed:
            worker = next(iter(cluster.workers.values()))
            killed.append(worker.process.pid)
            os.kill(worker.process.pid, signal.SIGKILL)

    found = result(run(job, tmp_path / "out", kill_one, cluster=cluster.scheduler_address, room=ROOM))
    assert killed
    here = result(run(job, tmp_path / "here", cores=1, room=ROOM))
    np.testing.assert_array_equal(found["shares"], here["shares"])


def test_a_run_begun_here_is_finished_there(job, tmp_path, cluster):
    def stop(done, whole):
        if done == 7:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(job, tmp_path / "out", stop, cores=1, room=ROOM)
    told = []
    run(
        job, tmp_path / "out", lambda done, _: told.append(done), cluster=cluster.scheduler_address, room=ROOM
    )
    assert told[0] == 7 and told[-1] == 40


def test_a_cluster_that_does_not_answer_is_refused(job, tmp_path, monkeypatch):
    pytest.importorskip("distributed")
    with pytest.raises(QuestionRefused, match="cluster tcp://127.0.0.1:9: needed a scheduler that answers"):
        run(job, tmp_path / "out", cluster="tcp://127.0.0.1:9", room=ROOM)
