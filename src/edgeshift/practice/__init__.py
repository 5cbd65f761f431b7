"""The practice beamline: invented specimens with known truth, written as raw files."""
