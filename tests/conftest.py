"""What many tests share: the open measured data, and where they may be absent."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

REQUIRE_ALL = os.environ.get("EDGESHIFT_REQUIRE_ALL") == "1"


def skip_unless_required(reason: str) -> None:
    """Skip with a reason on a laptop; fail where everything must be there."""
    if REQUIRE_ALL:
        pytest.fail(f"required here, but absent: {reason}")
    pytest.skip(reason)


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of open measured scans; it is not part of this repository."""
    place = os.environ.get("EDGESHIFT_OPEN_DATA")
    folder = Path(place) if place else Path(__file__).resolve().parents[2] / "shared" / "data"
    if not folder.is_dir():
        skip_unless_required("no open data beside the checkout (set EDGESHIFT_OPEN_DATA to its folder)")
    return folder
