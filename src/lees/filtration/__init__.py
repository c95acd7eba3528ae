"""The filter on the bench: its media, ports, flow, bypass, retention and parts."""
