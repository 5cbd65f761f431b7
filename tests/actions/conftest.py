"""A room that has begun, for every act of people in it."""

import pytest
from a_room import begun

from edgeshift.actions.desk import steady_desk


@pytest.fixture
def desk():
    return steady_desk()


@pytest.fixture
def folder(tmp_path, desk):
    with begun(tmp_path / "shift", desk) as folder:
        yield folder
