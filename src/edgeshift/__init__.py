"""edgeshift: from one shift of raw X-ray absorption scans to answers a visiting group can stand behind."""

__version__ = "0.1.0"
