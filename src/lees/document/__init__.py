"""A laboratory's report in any form: bytes to positioned words, to tables, to proposed results."""
