"""Spectra and what is known in, an Answer out: one file or folder a question. Pure."""
