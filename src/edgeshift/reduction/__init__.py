"""Scans and a recipe in, spectra with their uncertainties out. Pure."""
