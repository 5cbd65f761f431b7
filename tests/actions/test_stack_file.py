"""Stacks on disk: what is found in them, what is asked back, and blocks that cover them once."""

from __future__ import annotations

import h5py
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from edgeshift.actions.stack_file import Stack, open_stack, read_block
from edgeshift.errors import FileRefused, UnreadableFile, WhichEntry

ENERGY = np.linspace(700.0, 730.0, 16)
VALUES = np.random.default_rng(1).random((5, 7, 16)).astype("f4")


def hdf5(path, values=VALUES, energy=ENERGY, unit="eV", name="od", default=True, chunks=None):
    with h5py.File(path, "w") as file:
        group = file.create_group("entry/data")
        group.create_dataset(name, data=values, chunks=chunks)
        if energy is not None:
            group.create_dataset("energy", data=energy).attrs["units"] = unit
        if default:
            file.attrs["default"], file["entry"].attrs["default"] = "entry", "data"
            group.attrs["signal"] = name
    return path


def whole(stack: Stack, room: int = 10**9) -> np.ndarray:
    """All blocks put together as (pixels..., energies)."""
    found = np.full((*stack.pixels, len(stack.energy_ev)), np.nan)
    for block in stack.blocks(room):
        part = read_block(stack, block)
        part = part if stack.order == "pixels" else part.T
        shape = [each.stop - each.start for each in block]
        assert np.isnan(found[block]).all(), "no pixel is read twice"
        found[block] = part.reshape(*shape, -1)
    return found


@pytest.mark.parametrize("room", [64, 500, 10**9])
@pytest.mark.parametrize("chunks", [None, (2, 3, 16)])
def test_blocks_cover_a_file_once_whatever_the_room(tmp_path, room, chunks):
    stack = open_stack(hdf5(tmp_path / "a.h5", chunks=chunks))
    np.testing.assert_array_equal(whole(stack, room), VALUES)


def test_energies_may_come_first(tmp_path):
    stack = open_stack(hdf5(tmp_path / "a.nxs", np.moveaxis(VALUES, -1, 0)))
    assert (stack.order, stack.pixels, stack.count) == ("energies", (5, 7), 35)
    np.testing.assert_array_equal(whole(stack, 300), VALUES)


def test_npy_takes_its_energies_from_another_file(tmp_path):
    np.save(tmp_path / "a.npy", VALUES[0])
    np.savetxt(tmp_path / "energies.txt", ENERGY)
    stack = open_stack(tmp_path / "a.npy", energy=str(tmp_path / "energies.txt"))
    assert stack.pixels == (7,)
    np.testing.assert_array_equal(whole(stack, 200), VALUES[0])
    with pytest.raises(FileRefused, match="needed its energies, found none in an npy file"):
        open_stack(tmp_path / "a.npy")


def test_energies_in_kev_become_ev(tmp_path):
    stack = open_stack(hdf5(tmp_path / "a.h5", energy=ENERGY / 1000, unit="keV"))
    np.testing.assert_allclose(stack.energy_ev, ENERGY)


def test_without_a_default_the_only_stack_is_taken_and_two_are_asked_about(tmp_path):
    path = hdf5(tmp_path / "a.h5", default=False)
    assert open_stack(path).data == "/entry/data/od"
    with h5py.File(path, "a") as file:
        file["entry/data/second"] = VALUES
    with pytest.raises(WhichEntry, match="entry/data/od, entry/data/second. Name one with --data"):
        open_stack(path)
    assert open_stack(path, data="entry/data/second").data == "/entry/data/second"


def test_two_axes_that_fit_are_asked_about(tmp_path):
    square = np.ones((16, 4, 16), "f4")
    path = hdf5(tmp_path / "a.h5", square)
    with pytest.raises(WhichEntry, match="two that fit. Say --order"):
        open_stack(path)
    assert open_stack(path, order="energies").pixels == (4, 16)


@pytest.mark.parametrize(
    ("changes", "needed"),
    [
        ({"energy": None}, "energies beside its data, found none"),
        ({"energy": ENERGY[::-1]}, "rising energies or more, found 16 that do not all rise"),
        ({"energy": ENERGY[:9]}, "an outer axis of 9 energies, found 5 x 7 x 16"),
        ({"values": VALUES[0, 0]}, "two or three axes of plain numbers, found 1 axes"),
        ({"values": VALUES.astype("c8")}, "plain numbers, found 3 axes of complex64"),
    ],
)
def test_a_file_that_does_not_fit_is_refused(tmp_path, changes, needed):
    with pytest.raises(FileRefused, match=needed):
        open_stack(hdf5(tmp_path / "a.h5", **changes))


@pytest.mark.parametrize(
    ("name", "data", "needed"),
    [
        ("a.h5", b"no file of that kind", "needed an HDF5 file"),
        ("a.npy", b"\x93NUMPY broken", "needed an npy array"),
        ("a.dat", b"1 2 3", r"needed HDF5 \(.h5, .nxs\) or .npy, found .dat"),
    ],
)
def test_bytes_that_are_no_stack_are_refused(tmp_path, name, data, needed):
    (tmp_path / name).write_bytes(data)
    with pytest.raises(UnreadableFile, match=needed):
        open_stack(tmp_path / name, energy=str(tmp_path / "none.txt"))


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(UnreadableFile, match="needed a stack, found no such file"):
        open_stack(tmp_path / "a.h5")


@given(
    pixels=st.lists(st.integers(1, 40), min_size=1, max_size=2),
    room=st.integers(1, 5000),
    chunked=st.booleans(),
    data=st.data(),
)
def test_blocks_of_any_stack_are_within_their_room_and_tile_it(pixels, room, chunked, data):
    chunks = tuple(data.draw(st.integers(1, each)) for each in pixels) if chunked else None
    stack = Stack("a", "b", ENERGY, "pixels", tuple(pixels), 4, chunks)
    seen = np.zeros(pixels, dtype=int)
    for block in stack.blocks(room):
        seen[block] += 1
        size = seen[block].size * ENERGY.size * 4
        assert size <= max(4 * room, ENERGY.size * 4)
    assert (seen == 1).all()
