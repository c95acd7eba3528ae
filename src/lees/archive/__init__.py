"""Years of cases, pictures and reports: stored, found, counted, never judged."""
