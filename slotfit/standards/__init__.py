"""Published tables, each row with its source."""
