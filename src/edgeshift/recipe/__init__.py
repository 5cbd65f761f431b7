"""What a person may type: knobs, experiment text and beamline profile, each with default, unit, range and help."""
