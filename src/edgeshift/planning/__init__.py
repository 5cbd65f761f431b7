"""Before the shift and between the scans: scan lists and the budget of minutes. Pure."""
