"""Pure values: boards, parts, problems, clauses, plans."""
