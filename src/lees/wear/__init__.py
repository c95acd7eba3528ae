"""How fast an engine wears: rates and the mass balance of the sump."""
