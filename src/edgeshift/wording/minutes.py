"""The words of "What shall our minutes buy?": at most twenty a sentence."""

SETTLES, CANNOT_FIX = "Settles", "Cannot fix"


def cost(minutes: float) -> str:
    """As "36 min"."""
    return f"{minutes:.0f} min"
