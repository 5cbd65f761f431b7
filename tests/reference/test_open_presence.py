"""What is here, asked of open measured scans: elements named rightly, and no edge where there is none.

Whose data they are and under which licence stands in the README of the folder that `open_data` gives.
"""

from __future__ import annotations

import pytest
from open_scans import scan

import edgeshift
from edgeshift.errors import NotAScan


def told(path, symbol: str, edge: str | None = None) -> dict:
    return edgeshift.presence([scan(path, edge)]).detail["elements"][symbol]


@pytest.mark.parametrize(
    ("pattern", "symbol"),
    [
        ("library_xdi/Mn/*.xdi", "Mn"),
        ("library_xdi/V/*.xdi", "V"),
        ("library_xdi/Fe/*.xdi", "Fe"),
        ("redox_glass_raw/*.dat", "Fe"),
        ("mineral_raw/Pyrite_0*.dat", "S"),
        ("mineral_raw/Gypse_0*.dat", "S"),
    ],
)
def test_every_scan_of_an_element_shows_it_and_no_other(open_data, pattern, symbol):
    paths = sorted(open_data.glob(pattern))
    assert paths
    for path in paths:
        found = edgeshift.presence([scan(path)])
        seen = [each for each, one in found.detail["elements"].items() if one["verdict"] == "seen"]
        assert seen == [symbol], path.name


def test_a_single_edge_of_a_pair_says_how_far_to_scan_on(open_data):
    cerium = told(open_data / "library_xdi" / "Ce" / "CeO2.xdi", "Ce")
    assert (cerium["verdict"], cerium["reason"]) == ("cannot-tell", "partner-unscanned")


def test_alumina_and_carbon_films_show_their_element(open_data):
    assert told(open_data / "eels_msa" / "alumina-alpha_AlK_TEY.msa", "Al")["verdict"] == "seen"
    carbon = told(open_data / "carbon_k_csv" / "CK.csv", "C")
    assert carbon["verdict"] == "seen"
    assert "divided-elsewhere" in {each["reason"] for each in carbon["impostors"]}


def test_a_pair_on_an_untied_axis_is_told_by_its_distance_and_the_axis_is_called_unreliable(open_data):
    found = edgeshift.presence([scan(open_data / "eels_msa" / "LSMO_MnL_film-middle.msa")])
    assert found.detail["elements"]["Mn"]["verdict"] == "seen"
    assert any("absolute energy" in caution.lower() for caution in found.cautions)


@pytest.mark.parametrize("name", ["NMC_zero-loss_NOT-AN-EDGE.msa", "Co-He_lowloss_no-header_NOT-AN-EDGE.msa"])
def test_a_file_without_any_edge_is_no_scan(open_data, name):
    with pytest.raises(NotAScan, match="energ"):
        scan(open_data / "eels_msa" / name)
