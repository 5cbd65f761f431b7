"""The only place where a number becomes a sentence."""
