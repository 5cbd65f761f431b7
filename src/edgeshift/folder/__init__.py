"""The door to disk: the experiment folder, its book and its raw bytes."""
