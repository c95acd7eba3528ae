"""Lees: the bench book of an independent oil-filter inspector."""
