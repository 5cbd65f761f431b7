"""Reference numbers, each with its source and the spread between sources."""
