"""Windows from today to the plan, and what to pull first, as text, page and picture."""
