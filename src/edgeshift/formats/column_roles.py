"""What a column's name suggests that it is. Names only: whether its numbers agree is asked elsewhere."""

from __future__ import annotations

import re

from edgeshift.formats.elements import SYMBOLS

LINE_OF_ELEMENT = re.compile(r"([A-Z][a-z]?)[_ ]?[KLM][abg]?\d?(?![A-Za-z0-9])")
"""As 'V_Ka_mca1': counts in one emission line of one element."""
WORDS = {
    "energy": {"energy", "energie", "energia", "en", "ev", "kev", "pe", "hv", "photonenergy"},
    "angle": {"angle", "theta", "bragg"},
    "absorption": {"mu", "xmu", "mutrans", "mufluor", "norm", "abnorm", "absorption", "absorbance", "od"},
    "i0": {"i0", "io", "izero", "incident", "incoming", "mesh"},
    "reference": {"iref", "irefer", "ir", "ref", "refer", "reference"},
    "transmitted": {"i1", "it", "itrans", "itr", "trans", "transmission", "transmitted"},
    "electron-yield": {"tey", "iey", "ey", "aey", "pey", "drain", "samplecurrent", "electronyield"},
    "fluorescence": {"fy", "tfy", "pfy", "ipfy", "ifluor", "if", "fluo", "fluor", "fluorescence", "sdd"},
    "time": {"time", "dwell", "counttime", "exposure", "seconds", "livetime", "realtime"},
}
VAGUE = {"intensity", "counts", "signal", "y"}
"""Whole names that say only that something was measured."""
CORRECTED = {"c", "corr", "corrected", "dtc"}
READ_BACK = {"readback", "rbv", "rbk", "actual", "enc", "encoder", "measured", "o", "obs", "observed"}


def words_of(name: str) -> list[str]:
    """The words of a label in lower case: 'eBraggEnergy' gives e, bragg, energy; 'I0_EH1' gives i0, eh1."""
    parted = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name)
    return re.findall(r"[a-z]+\d*|\d+", parted.lower())


def role_of(name: str) -> str | None:
    """The role a name suggests, 'dead-time' and 'time' among them; None for a name that says nothing.

    A ready-made absorption of the reference is 'reference-absorption' and is nobody's signal.
    """
    words = words_of(name)
    joined = "".join(words)
    if "dead" in words or joined.startswith(("deadtime", "dtfactor")) or words[:1] == ["dt"]:
        return "dead-time"
    if joined in VAGUE:
        return "intensity"
    pairs = {a + b for a, b in zip(words, words[1:], strict=False)}
    role = next((role for role, known in WORDS.items() if known & {*words, *pairs, joined}), None)
    if role == "absorption" and WORDS["reference"] & set(words):
        return "reference-absorption"
    return "fluorescence" if role is None and line_element(name) else role


def line_element(name: str) -> str | None:
    """The element of an emission line that the name speaks of: 'V' for 'V_Ka_mca1'."""
    found = LINE_OF_ELEMENT.match(name)
    return found[1] if found and found[1].lower() in SYMBOLS else None


def is_corrected(name: str) -> bool:
    """Whether the name says that dead time is undone already: 'FY_c', 'sdd_corr'."""
    return bool(CORRECTED & set(words_of(name)[1:]))


def is_read_back(name: str) -> bool:
    """Whether the name says that the value was read back, not asked for."""
    return bool(READ_BACK & set(words_of(name)[1:]))


def stem(name: str) -> str:
    """The name without the number of a detector element: 'V_Ka_mca' for 'V_Ka_mca3'."""
    return re.sub(r"[_ ]?\d+\Z", "", name)
