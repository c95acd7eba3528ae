"""Photographs as measurements: arrays in, sizes and counts with their uncertainty out."""
