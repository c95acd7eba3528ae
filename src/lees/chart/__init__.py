"""One function per chart: a part of the findings in, a chart specification out."""
