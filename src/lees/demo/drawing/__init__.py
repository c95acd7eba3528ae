"""Photographs of the scenario, drawn with known truth: media, pleat packs, cards, a camera."""
