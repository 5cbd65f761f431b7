"""One file per thing a person can ask: the only place where doors and science meet."""
