"""What a case is: its models, its records of what was read and seen, and the file `case.toml`."""
