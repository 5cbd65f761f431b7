"""Before the shift and between the scans: the design, scan lists and the budget of minutes. Pure."""
