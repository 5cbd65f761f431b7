"""What is in the light beside the specimen: marks of mirrors and monitors, and what mounts are made of."""

from __future__ import annotations

FINGERPRINTS = {"C": (280.0, 295.0), "O": (525.0, 550.0), "Cr": (572.0, 590.0)}
"""Where mirrors and monitors of many beamlines leave marks of their own, eV (common practice, no source)."""
ON_MOUNTS = ("C", "N", "O", "F", "Cu", "In")
"""What tape, foil and holders are made of (common practice, no source)."""
