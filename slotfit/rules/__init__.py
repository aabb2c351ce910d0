"""One file, one rule: a problem in, clauses out."""
