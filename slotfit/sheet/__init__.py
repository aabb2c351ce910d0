"""Self-contained pages of answers, to take to the open case."""
