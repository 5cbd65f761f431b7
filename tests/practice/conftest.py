"""The packaged scenario and one shift of it, made once."""

from importlib.resources import files

import pytest

import edgeshift.practice as practice


@pytest.fixture(scope="session")
def riverbank_text():
    """The packaged text as it stands."""
    return (files(practice) / practice.SCENARIOS["riverbank"]).read_text("utf-8")


@pytest.fixture(scope="session")
def riverbank(riverbank_text):
    """The packaged scenario."""
    return practice.scenario_from_text(riverbank_text)


@pytest.fixture(scope="session")
def made(riverbank):
    """One shift."""
    return practice.shift(riverbank, 7)


@pytest.fixture(scope="session")
def scenario_named():
    """A packaged scenario by its name."""
    from edgeshift.actions.practise import practice_scenario

    return practice_scenario
