"""A case in, findings out: what the evidence adds up to, how likely, and what to do."""
