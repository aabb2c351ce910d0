"""A second judge of plans, written from the pages of `docs/` alone."""
