"""The bench in the browser: pages parse what was entered, call one act of `work`, and show."""
