"""Invented reports by a random layout grammar: truth, wording, layout, drawing, degrading, scoring.

Nothing here follows any laboratory's form: layouts are put together from parts at random, names of
laboratories, oils and engines are made up from harbour words, and every page says so.
"""
