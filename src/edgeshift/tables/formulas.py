"""Chemical formulas read: brackets multiplied out, the water of a hydrate behind a dot or a star."""

from __future__ import annotations

import re

from edgeshift.errors import TextRefused

_PART = re.compile(r"([A-Z][a-z]?)(\d*\.?\d*)|(\()|(\))(\d*\.?\d*)")
_DOTS = re.compile("[·•∙⋅*]")
_WATER_BY_POINT = re.compile(r"(\d)\.(\d*H2O)")
_COUNT = re.compile(r"\d*\.?\d*")


def atoms_of(formula: str) -> dict[str, float]:
    """How many of each element, as in 'Al2Si2O5(OH)4' or 'CuSO4·5H2O'; symbols are not looked up here.

    Raises TextRefused for what is no formula, for a count of zero, and for a hydrate written with a point,
    which would be read as a fraction.
    """
    plain = formula.replace(" ", "")
    if _WATER_BY_POINT.search(plain):
        meant = _WATER_BY_POINT.sub(r"\1*\2", plain)
        raise _refused(formula, "a fraction or a hydrate", f"Write a hydrate as {meant}.")
    first, *rest = _DOTS.split(plain)
    atoms = _counted(first, formula)
    for part in rest:
        count = _COUNT.match(part)[0]
        for element, number in _counted(part[len(count) :], formula).items():
            atoms[element] = atoms.get(element, 0.0) + _number(count, formula) * number
    return atoms


def _counted(part: str, formula: str) -> dict[str, float]:
    stack: list[dict[str, float]] = [{}]
    read = 0
    for found in _PART.finditer(part):
        if found.start() != read:
            break
        if found[3]:
            stack.append({})
        elif found[4]:
            if len(stack) < 2:
                break
            times = _number(found[5], formula)
            for element, count in stack.pop().items():
                stack[-1][element] = stack[-1].get(element, 0.0) + count * times
        else:
            stack[-1][found[1]] = stack[-1].get(found[1], 0.0) + _number(found[2], formula)
        read = found.end()
    if read != len(part) or len(stack) != 1 or not stack[0]:
        raise _refused(formula, repr(part[read:] or part), "Check brackets and capital letters.")
    return stack[0]


def _number(count: str, formula: str) -> float:
    """1 for none. A count that begins with 0 is most often the letter O."""
    if re.match(r"0(?!\.)", count) or (count and not float(count if count != "." else 0)):
        meant = formula.replace(count, "O" + count[1:], 1)
        raise _refused(formula, f"the count {count}", f"Write oxygen with the letter O, as {meant}.")
    return float(count or 1)


def _refused(formula: str, found: str, act: str) -> TextRefused:
    return TextRefused(f"the formula {formula}", "a formula as Al2Si2O5(OH)4", found, act)
