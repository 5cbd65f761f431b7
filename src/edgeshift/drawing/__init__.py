"""Figure descriptions into SVG in the language of the house."""
