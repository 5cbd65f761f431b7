"""A stack of curves on disk, read block by block: HDF5, NeXus or npy, pixels or energies first.

Blocks follow the file's own chunks, and none is larger than a fixed room, so that memory does not grow with
the number of pixels.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import prod
from pathlib import Path

import numpy as np

from edgeshift.errors import FileRefused, UnreadableFile, WhichEntry
from edgeshift.numerics.stacks import Order

ROOM_BYTES = 16_000_000
"""Bytes of one block in the file's own numbers."""
FEWEST_ENERGIES = 8
SUFFIXES_HDF5 = (".h5", ".hdf5", ".hdf", ".nxs", ".nx")
ENERGY_NAMES = ("energy", "energy_ev", "energies", "photon_energy")
Block = tuple[slice, ...]


@dataclass(frozen=True)
class Stack:
    """Where the numbers stand: file, dataset in it (None for npy), energies (n,) in eV and rising as they
    are stored, which axis comes first, the pixels' own shape, and the file's chunks along the pixels."""

    path: str
    data: str | None
    energy_ev: np.ndarray
    order: Order
    pixels: tuple[int, ...]
    itemsize: int
    chunks: tuple[int, ...] | None = None

    @property
    def count(self) -> int:
        """How many pixels."""
        return prod(self.pixels)

    def blocks(self, room: int = ROOM_BYTES) -> list[Block]:
        """Boxes of pixels that cover the stack once, each within the room."""
        one = len(self.energy_ev) * self.itemsize
        sides = list(self.pixels)
        for axis in range(len(sides)):  # the last axis is contiguous, so it is cut last
            other = prod(sides[:axis] + sides[axis + 1 :])
            sides[axis] = min(self.pixels[axis], max(1, room // (one * other)))
            if prod(sides) * one <= room:
                break
        if self.chunks:
            whole = [min(p, -(-s // c) * c) for s, c, p in zip(sides, self.chunks, self.pixels, strict=True)]
            if prod(whole) * one <= 4 * room:
                sides = whole
        starts = [range(0, size, side) for size, side in zip(self.pixels, sides, strict=True)]
        return [
            tuple(slice(a, min(a + s, p)) for a, s, p in zip(at, sides, self.pixels, strict=True))
            for at in product(*starts)
        ]


def open_stack(
    path: str | Path, data: str | None = None, energy: str | None = None, order: Order | None = None
) -> Stack:
    """Look at a stack without reading its numbers.

    `data` and `energy` name datasets of an HDF5 file; for npy, or where the file holds none, `energy` is a
    text or npy file with one energy in eV for each plane. Raises FileRefused where one of them is missing
    or fits no axis, WhichEntry where several data sets could be meant, or both axes fit.
    """
    path = Path(path)
    if not path.is_file():
        raise UnreadableFile(str(path), "a stack", "no such file", "Check its name and place.")
    if path.suffix.lower() == ".npy":
        return _npy(path, energy, order)
    if path.suffix.lower() in SUFFIXES_HDF5:
        return _hdf5(path, data, energy, order)
    found = path.suffix or "no suffix"
    raise UnreadableFile(path.name, "HDF5 (.h5, .nxs) or .npy", found, "Save the stack as one of these.")


def read_block(stack: Stack, block: Block) -> np.ndarray:
    """The curves of a block as (pixels, n), or (n, pixels) where the energies come first."""
    if stack.data is None:
        whole = np.load(stack.path, mmap_mode="r")
        part = np.asarray(whole[_index(stack, block)])
    else:
        import h5py

        with h5py.File(stack.path, "r", locking=False) as file:
            part = file[stack.data][_index(stack, block)]
    points = len(stack.energy_ev)
    return part.reshape(-1, points) if stack.order == "pixels" else part.reshape(points, -1)


def _index(stack: Stack, block: Block) -> tuple[slice, ...]:
    every = (slice(None),)
    return block + every if stack.order == "pixels" else every + block


def _npy(path: Path, energy: str | None, order: Order | None) -> Stack:
    try:
        whole = np.load(path, mmap_mode="r")
    except (ValueError, OSError, EOFError) as trouble:
        raise UnreadableFile(path.name, "an npy array", str(trouble), "Save it again.") from None
    if energy is None:
        raise FileRefused(
            path.name, "its energies", "none in an npy file", "Name a file: --energy energies.txt"
        )
    return _stack(path, None, whole.shape, whole.dtype, _energies_from(Path(energy)), order, None)


def _hdf5(path: Path, data: str | None, energy: str | None, order: Order | None) -> Stack:
    import h5py

    try:
        with h5py.File(path, "r", locking=False) as file:
            name = data or _only_stack(path, file)
            if name not in file or not isinstance(file[name], h5py.Dataset):
                raise WhichEntry(path.name, f"the data set {name}", "no such one", "Name one with --data.")
            there = file[name]
            energies = _energies_in(path, file, there, energy)
            chunks = there.chunks
            return _stack(path, there.name, there.shape, there.dtype, energies, order, chunks)
    except OSError as trouble:
        raise UnreadableFile(path.name, "an HDF5 file", str(trouble)[:80], "Copy it again.") from None


def _only_stack(path: Path, file) -> str:
    """The default signal of a NeXus file, else the only data set with two or three axes."""
    signal = _default_signal(file)
    if signal:
        return signal
    found: list[str] = []
    file.visititems(lambda name, item: found.append(name) if getattr(item, "ndim", 0) in (2, 3) else None)
    if len(found) != 1:
        raise WhichEntry(
            path.name,
            "one data set with two or three axes",
            ", ".join(found) or "none",
            "Name one with --data.",
        )
    return found[0]


def _default_signal(file) -> str | None:
    group = file
    for _ in range(8):
        signal = group.attrs.get("signal")
        if isinstance(signal, bytes | str):
            name = signal.decode() if isinstance(signal, bytes) else signal
            return group[name].name if name in group else None
        default = group.attrs.get("default")
        default = default.decode() if isinstance(default, bytes) else default
        if not isinstance(default, str) or default not in group:
            return None
        group = group[default]
    return None


def _energies_in(path: Path, file, data, energy: str | None) -> np.ndarray:
    """By name, beside the data under a usual name, or from a file of their own."""
    if energy is not None:
        if energy in file:
            return _in_ev(file[energy])
        if Path(energy).is_file():
            return _energies_from(Path(energy))
        raise FileRefused(path.name, f"energies at {energy}", "no such data set or file", "Check --energy.")
    for name in ENERGY_NAMES:
        if name in data.parent:
            return _in_ev(data.parent[name])
    raise FileRefused(path.name, "energies beside its data", "none", "Name them: --energy DATASET or FILE.")


def _in_ev(there) -> np.ndarray:
    unit = there.attrs.get("units", "eV")
    unit = unit.decode() if isinstance(unit, bytes) else str(unit)
    return np.asarray(there[()], dtype=float).ravel() * (1000.0 if unit.lower() == "kev" else 1.0)


def _energies_from(path: Path) -> np.ndarray:
    try:
        values = np.load(path) if path.suffix.lower() == ".npy" else np.loadtxt(path, ndmin=2)[:, 0]
    except (ValueError, OSError) as trouble:
        raise UnreadableFile(
            path.name, "one energy a line, in eV", str(trouble)[:80], "Check --energy."
        ) from None
    return np.asarray(values, dtype=float).ravel()


def _stack(path: Path, data, shape, dtype, energies: np.ndarray, order: Order | None, chunks) -> Stack:
    if len(shape) not in (2, 3) or dtype.kind not in "fiu":
        found = f"{len(shape)} axes of {dtype}"
        raise FileRefused(path.name, "two or three axes of plain numbers", found, "Name another with --data.")
    points = len(energies)
    steps = np.diff(energies)
    if points < FEWEST_ENERGIES or not np.isfinite(energies).all() or not np.all(steps > 0):
        found = f"{points} that do not all rise"
        raise FileRefused(path.name, f"{FEWEST_ENERGIES} rising energies or more", found, "Check --energy.")
    fitting: list[Order] = [
        each for each, size in (("pixels", shape[-1]), ("energies", shape[0])) if size == points
    ]
    if order is not None:
        fitting = [each for each in fitting if each == order]
    if not fitting:
        found = " x ".join(map(str, shape))
        raise FileRefused(
            path.name, f"an outer axis of {points} energies", found, "Check --energy and --order."
        )
    if len(fitting) > 1:
        raise WhichEntry(path.name, "the axis of energies", "two that fit", "Say --order pixels or energies.")
    inner = slice(None, -1) if fitting[0] == "pixels" else slice(1, None)
    return Stack(
        str(path.resolve()),
        data,
        energies,
        fitting[0],
        tuple(shape[inner]),
        dtype.itemsize,
        tuple(chunks[inner]) if chunks else None,
    )


def spread_out(stack: Stack, block: Block) -> Iterator[int]:
    """The shape of a block's pixels."""
    return (each.stop - each.start for each in block)
