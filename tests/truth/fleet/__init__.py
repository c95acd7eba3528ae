"""Fleets of engines drawn from physics, with known truth: wear in, reports and teardowns out.

Built apart from the model that is tried on it: engines wear by Archard's law under a duty that
differs from engine to engine and fill to fill, sumps mix and lose oil, laboratories scatter, round
and now and then spoil a figure. No log-normal regression is in here.
"""
