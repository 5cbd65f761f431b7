"""Which column is what: proposals from names and numbers, and doubts said aloud."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from raw_files import ENERGY, I0, SEEDS, YIELD, rows, table

from edgeshift.errors import NotAScan
from edgeshift.formats.proposal import Proposal, propose
from edgeshift.formats.recognise import tables

NOISE = np.round(25 + 8 * np.random.default_rng(7).normal(size=len(ENERGY)))
SHARE = np.round(0.05 + YIELD / 1e5, 6)


def roles(proposal: Proposal) -> dict[str, tuple[str, ...]]:
    return {channel.role: channel.columns for channel in proposal.profile.channels}


def test_clear_names_and_numbers_are_certain() -> None:
    proposal = propose(table(Energy__eV=ENERGY, I0=I0, TEY=YIELD))
    assert proposal.certain
    assert proposal.doubts == ()
    assert proposal.profile.energy.column == "Energy"
    assert roles(proposal) == {"i0": ("I0",), "electron-yield": ("TEY",)}
    assert proposal.profile.signal == "electron-yield"


@pytest.mark.parametrize(
    ("dead", "words"),
    [
        (0 * ENERGY, "holds only zeros"),
        (0 * ENERGY + 3, "never changes"),
        (np.where(NOISE > 25, 88.0, 89.0), "holds only 2 different values"),
        (NOISE, "shows nothing beyond its own noise"),
        (np.full(len(ENERGY), np.nan), "holds no numbers"),
    ],
)
def test_a_dead_column_is_doubted_aloud(dead: np.ndarray, words: str) -> None:
    proposal = propose(table(Energy=ENERGY, I0=I0, FY=YIELD, TEY=dead))
    assert f"The column TEY {words}, so it is not taken." in proposal.doubts
    assert "electron-yield" not in roles(proposal)
    assert proposal.roles["TEY"].startswith("electron-yield, not taken")


def test_a_raw_yield_with_its_dead_time_is_corrected_once() -> None:
    percent = np.round(100 * SHARE, 4)
    proposal = propose(
        table(Energy=ENERGY, I0=I0, FY=YIELD, DeadTime=percent, FY_c=YIELD / (1 - percent / 100))
    )
    channel = proposal.profile.channels[1]
    assert (channel.columns, channel.dead_time_columns, channel.corrected) == (("FY",), ("DeadTime",), False)
    assert channel.dead_time_unit == "percent"
    assert "FY_c is FY corrected by DeadTime, so it is left out." in proposal.doubts
    assert proposal.certain


def test_small_percents_are_told_from_shares_by_the_corrected_column() -> None:
    percent = np.round(SHARE * 3, 6)
    ready = YIELD / (1 - percent / 100)
    proposal = propose(table(Energy=ENERGY, I0=I0, FY=YIELD, DeadTime=percent, FY_c=ready))
    assert proposal.profile.channels[1].dead_time_unit == "percent"
    unknown = propose(table(Energy=ENERGY, I0=I0, FY=YIELD, DeadTime=percent))
    assert not unknown.certain


def test_a_corrected_column_alone_is_taken_as_corrected() -> None:
    channel = propose(table(Energy=ENERGY, I0=I0, FY=YIELD, FY_c=YIELD * 1.1)).profile.channels[1]
    assert (channel.columns, channel.corrected, channel.dead_time_columns) == (("FY_c",), True, ())


def test_a_corrected_column_that_does_not_agree_is_asked_about() -> None:
    proposal = propose(table(Energy=ENERGY, I0=I0, FY=YIELD, DeadTime=100 * SHARE, FY_c=YIELD * 2))
    assert not proposal.certain
    assert any("one must be chosen" in doubt for doubt in proposal.doubts)


def test_detector_elements_of_the_named_element_belong_together() -> None:
    names = {f"{line}_Ka_mca{k}": size * YIELD + k for line, size in (("Si", 1), ("Al", 2)) for k in (1, 2)}
    raw = replace(table(Energy=ENERGY, I0=I0, **names), header={"element.symbol": "Al"})
    assert roles(propose(raw))["fluorescence"] == ("Al_Ka_mca1", "Al_Ka_mca2")
    assert not propose(replace(raw, header={})).certain


def test_a_ready_made_logarithm_gives_way_to_its_raw_columns() -> None:
    behind = I0 - YIELD
    proposal = propose(table(Energy=ENERGY, I0=I0, I1=behind, mu=np.log(I0 / behind)))
    assert proposal.profile.signal == "transmitted"
    assert "mu is ln(I0/I1), so the raw columns are taken." in proposal.doubts


def test_a_ready_made_absorption_is_not_divided_again() -> None:
    proposal = propose(table(energy=ENERGY, mutrans=YIELD / I0, i0=I0))
    assert roles(proposal) == {"absorption": ("mutrans",)}


def test_two_live_yields_are_both_taken_and_the_clearer_is_proposed() -> None:
    rough = YIELD + 60 * np.random.default_rng(3).normal(size=len(ENERGY))
    proposal = propose(table(Energy=ENERGY, I0=I0, TEY=rough, FY=YIELD))
    assert proposal.profile.signal == "fluorescence"
    assert any("are alive; fluorescence is proposed" in doubt for doubt in proposal.doubts)


@pytest.mark.parametrize(
    "columns",
    [
        {"Energy": ENERGY, "TEY": YIELD},
        {"Energy": ENERGY, "Intensity": YIELD},
        {"Energy": ENERGY, "I0": I0, "a": YIELD, "b": YIELD},
        {"Energy": ENERGY, "I0": I0, "Io": I0 + 1, "TEY": YIELD},
        {"x": ENERGY, "I0": I0, "TEY": YIELD},
    ],
)
def test_an_open_choice_is_never_certain(columns: dict[str, np.ndarray]) -> None:
    proposal = propose(table(**columns))
    assert not proposal.certain
    assert proposal.doubts


def test_a_file_without_header_is_never_certain() -> None:
    (raw,) = tables("clay.dat", rows(ENERGY, I0, I0 - YIELD, np.log(I0 / (I0 - YIELD))).encode())
    proposal = propose(raw)
    assert not proposal.certain
    assert any("as incoming over transmitted" in doubt for doubt in proposal.doubts)


def test_an_angle_with_a_spacing_in_the_header_is_an_energy() -> None:
    (raw,) = tables("clay.001", SEEDS["clay.001"])
    energy = propose(raw).profile.energy
    assert (energy.column, energy.unit, energy.d_spacing_angstrom) == ("Angle(o)", "deg", 4.2554)


def test_the_read_back_energy_is_preferred() -> None:
    assert (
        propose(table(Energy=ENERGY, Energy_rbv=ENERGY + 0.01, I0=I0, TEY=YIELD)).profile.energy.column
        == "Energy_rbv"
    )


def test_energies_in_kev_are_known_by_unit_or_doubted() -> None:
    assert propose(table(Energy__keV=ENERGY / 1000, I0=I0, TEY=YIELD)).certain
    unnamed = propose(table(Energy=ENERGY / 1000, I0=I0, TEY=YIELD))
    assert (unnamed.profile.energy.unit, unnamed.certain) == ("keV", False)


def test_a_negative_drain_current_is_a_signal() -> None:
    channel = propose(table(Energy=ENERGY, I0=I0, TEY__nA=-YIELD)).profile.channels[1]
    assert (channel.sign, channel.unit, channel.gain) == (-1, "A", 1e-9)


@pytest.mark.parametrize(
    ("columns", "needed"),
    [
        ({"Energy": ENERGY[:4], "TEY": YIELD[:4]}, "at least 5 points"),
        ({"Energy": ENERGY - 1560, "TEY": YIELD}, "energies between 30 and 30000 eV"),
        ({"x__mm": ENERGY, "I0": I0, "TEY": YIELD}, "a column in eV, keV or degrees, found 'x'"),
        ({"time__s": ENERGY, "TEY": YIELD}, "a column named as an energy, found 'time'"),
        ({"Energy": 0 * ENERGY + 700, "TEY": YIELD}, "energies that rise or fall"),
        ({"x": np.r_[ENERGY, ENERGY[::-1]], "I0": np.r_[I0, I0]}, "only rise .* turn round at 1609.50 eV"),
        ({f"c{k}": YIELD for k in range(301)}, "the columns of one scan"),
    ],
)
def test_what_is_no_absorption_scan_is_refused(columns: dict[str, np.ndarray], needed: str) -> None:
    with pytest.raises(NotAScan, match=needed):
        propose(table(**columns))


def test_energies_out_and_back_are_a_question_that_says_where_they_turn() -> None:
    found = propose(
        table(Energy=np.r_[ENERGY, ENERGY[-2::-1]], I0=np.r_[I0, I0[1:]], TEY=np.r_[YIELD, YIELD[-2::-1]])
    )
    assert (
        "The energies in 'Energy' turn round at 1609.50 eV. Split the file into one for each way."
        in found.doubts
    )
    assert not found.certain


def test_an_emission_spectrum_is_no_absorption_scan() -> None:
    (raw,) = tables("clay.msa", SEEDS["clay.msa"].replace(b": ELS", b": EDS"))
    with pytest.raises(NotAScan, match="a spectrum of type EDS"):
        propose(raw)
