"""Elements that a sentence names: as names, formulas, symbols, or by what a compound's name says it holds."""

from __future__ import annotations

import re

from edgeshift.wording.element_names import NAMES

OTHER_NAMES = {
    "aluminum": "Al",
    "sulphur": "S",
    "cesium": "Cs",
    "ferric": "Fe",
    "ferrous": "Fe",
    "rust": "Fe",
}
HOLDS = {
    "oxide": "O", "dioxide": "O", "hydroxide": "OH", "carbonate": "CO", "bicarbonate": "HCO", "nitrate": "NO",
    "nitrite": "NO", "ammonium": "NH", "ammonia": "NH", "sulfate": "SO", "sulphate": "SO", "sulfide": "S",
    "sulphide": "S", "phosphate": "PO", "chloride": "Cl", "fluoride": "F", "carbide": "C", "graphite": "C",
    "charcoal": "C",
}  # fmt: skip
"""What compounds hold by their name. A silicate or a water of crystals may hold anything: it is asked for."""
NO_SYMBOLS = {"As", "At", "Be", "He", "In", "No"}
"""Symbols that are words, most often at the beginning of a sentence."""
_ANY = "|".join(sorted(NAMES, key=len, reverse=True))
_SYMBOL, _FORMULA = re.compile(_ANY), re.compile(rf"(?:(?:{_ANY})\d*|[(·]|\)\d*)+")


def elements_named(text: str) -> tuple[str, ...]:
    """Symbols of all elements that the words name, each once. 'carbonates' names C and O, 'TiO2' Ti and O.

    A lone letter is no symbol: it may be a degree, a unit's name or somebody's own word.
    """
    named = {name: symbol for symbol, name in NAMES.items()} | OTHER_NAMES
    found: list[str] = []
    for word in re.findall(r"[A-Za-z][A-Za-z0-9()·]*", text):
        plain = word.lower()
        one = plain if plain in named or plain in HOLDS else plain.removesuffix("s")
        if one in named:
            found.append(named[one])
        elif one in HOLDS:
            found += _SYMBOL.findall(HOLDS[one])
        elif _is_formula(word):
            found += _SYMBOL.findall(word)
    return tuple(dict.fromkeys(found))


def _is_formula(word: str) -> bool:
    """A symbol of two letters, or more than one symbol with a number among them; 'CO' may be anything."""
    if not _FORMULA.fullmatch(word):
        return False
    if word in NAMES:
        return len(word) == 2 and word not in NO_SYMBOLS
    return any(letter.isdigit() for letter in word) and len(_SYMBOL.findall(word)) > 1
