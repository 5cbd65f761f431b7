"""A feature in words, and its unit."""

from __future__ import annotations

from edgeshift.recipe.experiment import Feature


def feature_words(feature: Feature) -> str:
    """The group's own words for the feature, else what is read and where."""
    if feature.words:
        return feature.words
    middles = [f"{(low + high) / 2:.1f}" for low, high in feature.windows]
    if feature.kind == "ratio":
        return f"height at {middles[0]} ÷ at {middles[1]} eV"
    if feature.kind == "line-ratio":
        return f"line near {middles[0]} ÷ near {middles[1]} eV, 2:1 steps taken away"
    low, high = feature.windows[0]
    return f"{feature.kind} in {low:.1f}-{high:.1f} eV"


def unit_of(kind: str, curve_unit: str) -> str:
    """The unit of a feature of this kind, read from curves of that unit."""
    height = {"step": "edge steps", "area": "mean heights"}.get(curve_unit, "ratio")
    return {"ratio": "ratio", "line-ratio": "ratio", "height": height, "area": f"{height} × eV"}.get(
        kind, "eV"
    )
