"""What a column's name suggests."""

from __future__ import annotations

import pytest

from edgeshift.formats import column_roles


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("Energy", "energy"),
        ("eBraggEnergy", "energy"),
        ("Mono Energy *", "energy"),
        ("Angle(o)", "angle"),
        ("I0_EH1", "i0"),
        ("Io", "i0"),
        ("itrans", "transmitted"),
        ("I1", "transmitted"),
        ("Iref", "reference"),
        ("TEY", "electron-yield"),
        ("sample current", "electron-yield"),
        ("FY_c", "fluorescence"),
        ("V_Ka_mca3", "fluorescence"),
        ("mu", "absorption"),
        ("mu_ref", "reference-absorption"),
        ("Intensity", "intensity"),
        ("DeadTime", "dead-time"),
        ("DTFactor_mca1", "dead-time"),
        ("Scaler preset time *", "time"),
        ("Ctr4", None),
        ("OutputCounts_mca1", None),
        ("column 3", None),
    ],
)
def test_names_suggest_roles(name: str, role: str | None) -> None:
    assert column_roles.role_of(name) == role


def test_parts_of_names_are_told_apart() -> None:
    assert column_roles.words_of("I0_EH1") == ["i0", "eh1"]
    assert column_roles.line_element("V_Ka_mca3") == "V"
    assert column_roles.line_element("Qq_Ka") is None
    assert column_roles.stem("V_Ka_mca3") == "V_Ka_mca"
    assert column_roles.is_corrected("FY_c")
    assert not column_roles.is_corrected("c")
    assert column_roles.is_read_back("Energy_rbv")
