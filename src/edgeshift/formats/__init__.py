"""Bytes to tables and back, pure: one file per format, found by entry point."""
