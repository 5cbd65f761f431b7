"""The same mixture over a whole stack: block by block, on local cores or on a Dask cluster.

A run that was stopped is taken up again where it was left.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal, NamedTuple

import numpy as np

from edgeshift import __version__
from edgeshift.actions.stack_file import ROOM_BYTES, Block, Stack, read_block, spread_out
from edgeshift.errors import FolderRefused, QuestionRefused
from edgeshift.folder.durable import kind_about_disk, write_durably
from edgeshift.numerics.stacks import Tables, has_numba, solve, tables
from edgeshift.records.identity import canonical_json, digest

JOB, PARTS, RESULT = "job.json", "parts", "shares.h5"
PART_FORM = 2
"""Parts of another form are not taken up again."""
Baseline = Literal["none", "level", "line"]
Tell = Callable[[int, int], None]
FLAT = 1e-5
"""Rounding leaves less than this share of a flat curve unexplained, in single precision too."""
AHEAD = 4
"""Blocks under way for each core or worker: enough that none waits, few enough for the memory."""


@dataclass(frozen=True)
class Job:
    """What is asked of a stack: references (K, n) on the stack's energies with their names, what may lie
    under every curve, and which energies (n,) are used."""

    stack: Stack
    names: tuple[str, ...]
    references: np.ndarray
    baseline: Baseline
    used: np.ndarray

    @property
    def free(self) -> np.ndarray:
        """Columns of either sign that may lie under every curve (m, used energies)."""
        energy = self.stack.energy_ev[self.used]
        along = (energy - energy.mean()) / max(float(np.ptp(energy)), 1e-12)
        count = {"none": 0, "level": 1, "line": 2}[self.baseline]
        return np.vstack([np.ones_like(along), along])[:count]

    def tables(self) -> Tables:
        """Everything a block needs."""
        return tables(self.references[:, self.used], self.free)

    def identity(self) -> str:
        """The file as it is, the references and the settings: equal jobs give equal numbers."""
        file = os.stat(self.stack.path)
        said = [Path(self.stack.path).name, file.st_size, file.st_mtime_ns, self.stack.data, self.stack.order]
        said += [list(self.stack.pixels), list(self.names), self.baseline, __version__, PART_FORM]
        arrays = (self.stack.energy_ev, self.references, self.used)
        return digest(canonical_json(said), *(np.ascontiguousarray(each).tobytes() for each in arrays))


class Part(NamedTuple):
    """One block, solved: shares and sigma (pixels, K), misfit (pixels,), the sum of its curves (used
    energies,), how many there were, and how many were left out because they say nothing: flat throughout."""

    shares: np.ndarray
    sigma: np.ndarray
    misfit: np.ndarray
    summed: np.ndarray
    whole: int
    flat: int


def solve_block(stack: Stack, block: Block, of: Tables, used: np.ndarray) -> Part:
    """Read and solve one block. Runs anywhere that sees the file: a thread here, a worker there."""
    curves = read_block(stack, block)
    if not used.all():
        curves = curves[:, used] if stack.order == "pixels" else curves[used]
    if curves.dtype.kind != "f":
        curves = curves.astype(np.float32 if curves.dtype.itemsize < 4 else float)
    found = solve(of, curves, stack.order)
    flat = _flat(curves if stack.order == "pixels" else curves.T, found.misfit)
    for each in found:
        each[flat] = np.nan
    whole = np.isfinite(found.misfit)
    if not whole.all():
        curves = curves[whole] if stack.order == "pixels" else curves[:, whole]
    summed = curves.sum(axis=0 if stack.order == "pixels" else 1, dtype=float)
    return Part(*found, summed, int(whole.sum()), flat.size)


def _flat(curves: np.ndarray, misfit: np.ndarray) -> np.ndarray:
    """Places (few,) of curves that are the same at every energy, as of a dead pixel: a fit would claim to
    know them perfectly. Only those that are fitted so well are looked at."""
    suspects = np.flatnonzero(misfit <= FLAT * np.abs(curves[:, 0]))
    return suspects[np.ptp(curves[suspects], axis=1) == 0.0]


def run(
    job: Job, out: str | Path, tell: Tell = lambda done, whole: None, cores: int | None = None,
    cluster: str | None = None, room: int = ROOM_BYTES,
) -> Path:  # fmt: skip
    """Solve every block that is not solved yet, then put all together in `out/shares.h5`; its path.

    A run that was stopped at any moment is taken up again by the same call. `room` are bytes of a block.
    Raises FolderRefused where `out` holds another job.
    """
    out = Path(out)
    identity = _begin(job, out)
    blocks = job.stack.blocks(room)
    if _finished(out, identity):
        tell(len(blocks), len(blocks))
        return out / RESULT
    missing = [n for n in range(len(blocks)) if not _part(out, n).is_file()]
    done = len(blocks) - len(missing)
    tell(done, len(blocks))
    solved = _on_cluster(job, blocks, missing, cluster) if cluster else _here(job, blocks, missing, cores)
    for number, part in solved:
        _keep(_part(out, number), part)
        done += 1
        tell(done, len(blocks))
    return _join(job, out, blocks, identity)


def _begin(job: Job, out: Path) -> str:
    """The folder with the job in it. One of another job is left alone."""
    identity = job.identity()
    with kind_about_disk(out):
        (out / PARTS).mkdir(parents=True, exist_ok=True)
    note = out / JOB
    if note.is_file():
        try:
            there = json.loads(note.read_text(encoding="utf-8"))["identity"]
        except (ValueError, KeyError):
            there = "a note that cannot be read"
        if there != identity:
            raise FolderRefused(
                str(out),
                "an empty folder or the same job",
                "another job's shares",
                "Name another: --out FOLDER.",
            )
    else:
        said = {"identity": identity, "stack": Path(job.stack.path).name, "references": list(job.names),
                "baseline": job.baseline, "compiled": has_numba()}  # fmt: skip
        write_durably(note, (json.dumps(said, indent=1) + "\n").encode())
    return identity


def _finished(out: Path, identity: str) -> bool:
    import h5py

    if not (out / RESULT).is_file():
        return False
    with h5py.File(out / RESULT, "r") as file:
        return file.attrs.get("identity") == identity


def _part(out: Path, number: int) -> Path:
    return out / PARTS / f"part-{number:06d}.npz"


def _keep(path: Path, part: Part) -> None:
    """Whole or not at all; a power cut may cost a part, and then it is solved again."""
    beside = path.with_name(f".incoming-{path.name}")
    with kind_about_disk(path):
        with beside.open("wb") as file:
            np.savez(file, **part._asdict())
        os.replace(beside, path)


# --- where the work is done ---------------------------------------------------------------------------------


def _here(
    job: Job, blocks: Sequence[Block], missing: Sequence[int], cores: int | None
) -> Iterator[tuple[int, Part]]:
    """On threads: what is compiled, numpy and the disk all let each other run."""
    cores = cores or os.cpu_count() or 1
    of, waiting = job.tables(), iter(missing)
    with ThreadPoolExecutor(cores) as pool:
        under_way = {}
        while True:
            for number in waiting:
                future = pool.submit(solve_block, job.stack, blocks[number], of, job.used)
                under_way[future] = number
                if len(under_way) >= AHEAD * cores:
                    break
            if not under_way:
                return
            for future in wait(under_way, return_when=FIRST_COMPLETED).done:
                yield under_way.pop(future), future.result()


def _on_cluster(
    job: Job, blocks: Sequence[Block], missing: Sequence[int], address: str
) -> Iterator[tuple[int, Part]]:
    """On an existing Dask cluster whose workers see the same file under the same name.

    A block whose worker dies is given to another one.
    """
    try:
        from distributed import Client, as_completed
    except ImportError:
        raise QuestionRefused(
            "the cluster", "the package distributed", "none", "Install it: pip install 'edgeshift[cluster]'."
        ) from None
    try:
        client = Client(address, timeout="10s", set_as_default=False)
    except (OSError, ValueError, TimeoutError):
        raise QuestionRefused(
            f"the cluster {address}", "a scheduler that answers", "none", "Start it, or leave --cluster out."
        ) from None
    with client:
        workers = len(client.scheduler_info(n_workers=-1)["workers"])
        if not workers:
            raise QuestionRefused(f"the cluster {address}", "a worker", "none", "Start one.")
        of, numbers, waiting = job.tables(), {}, iter(missing)

        def submit() -> object | None:
            number = next(waiting, None)
            if number is None:
                return None
            future = client.submit(
                solve_block, job.stack, blocks[number], of, job.used, pure=False, retries=3
            )
            numbers[future.key] = number
            return future

        first = [future for future in (submit() for _ in range(AHEAD * workers)) if future is not None]
        running = as_completed(first, loop=client.loop)
        for future in running:
            yield numbers.pop(future.key), future.result()
            following = submit()
            if following is not None:
                running.add(following)


# --- put together -------------------------------------------------------------------------------------------


def _join(job: Job, out: Path, blocks: Sequence[Block], identity: str) -> Path:
    """All parts into one NeXus file, one after the other, then the parts go."""
    import h5py

    target, beside = out / RESULT, out / f".incoming-{RESULT}"
    count, pixels = len(job.names), job.stack.pixels
    with kind_about_disk(target), h5py.File(beside, "w") as file:
        file.attrs.update({"identity": identity, "default": "shares", "creator": f"edgeshift {__version__}"})
        entry = file.create_group("shares")
        entry.attrs.update({"NX_class": "NXentry", "default": "data"})
        data = entry.create_group("data")
        data.attrs.update({"NX_class": "NXdata", "signal": "shares"})
        data.create_dataset("reference", data=np.array(job.names, dtype=h5py.string_dtype()))
        shares = data.create_dataset("shares", (count, *pixels), "f8")
        sigma = data.create_dataset("shares_errors", (count, *pixels), "f8")
        misfit = data.create_dataset("misfit", pixels, "f8")
        shares.attrs["units"] = sigma.attrs["units"] = "edge steps"
        summed, whole, flat = np.zeros(int(job.used.sum())), 0, 0
        for number, block in enumerate(blocks):
            with np.load(_part(out, number)) as part:
                shape = tuple(spread_out(job.stack, block))
                shares[(slice(None), *block)] = part["shares"].T.reshape(count, *shape)
                sigma[(slice(None), *block)] = part["sigma"].T.reshape(count, *shape)
                misfit[block] = part["misfit"].reshape(shape)
                summed += part["summed"]
                whole += int(part["whole"])
                flat += int(part["flat"])
        data.create_dataset("energy", data=job.stack.energy_ev[job.used]).attrs["units"] = "eV"
        data.create_dataset("mean_curve", data=summed / max(1, whole))
        data.attrs["whole_curves"], data.attrs["flat_curves"] = whole, flat
    os.replace(beside, target)
    for number in range(len(blocks)):
        _part(out, number).unlink(missing_ok=True)
    return target


def on_window(job: Job, window_ev: tuple[float, float] | None) -> Job:
    """The same job over some energies only."""
    if window_ev is None:
        return job
    energy = job.stack.energy_ev
    used = (energy >= window_ev[0]) & (energy <= window_ev[1])
    if used.sum() < len(job.names) + 3:
        raise QuestionRefused(
            "the window", f"{len(job.names) + 3} energies", str(int(used.sum())), "Widen it."
        )
    return replace(job, used=used)
