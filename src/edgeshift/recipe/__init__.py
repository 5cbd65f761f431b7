"""What a person may type: knobs, experiment text and beamline profile, each with unit, range and help."""
