"""From today's layout to the plan, window by window: prepare, plan, check, explain."""
