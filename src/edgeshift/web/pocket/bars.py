"""The bar of a card: its minutes on the ruler that all cards share."""

from __future__ import annotations

from markupsafe import Markup

WIDTH, HEIGHT = 330, 14


def bar(minutes: float, ruler: float) -> Markup:
    """`minutes` of `ruler` minutes as a bar; its colours are the page's, and its number stands beside it."""
    filled = max(2.0, WIDTH * min(1.0, minutes / ruler))
    return Markup(
        f'<svg class="bar" viewBox="0 0 {WIDTH} {HEIGHT}" aria-hidden="true" preserveAspectRatio="none">'
        f'<rect class="rest" y="4" width="{WIDTH}" height="6"></rect>'
        f'<rect class="price" x="0.5" y="1" width="{filled:.1f}" height="12"></rect></svg>'
    )
