"""Planned against seen: does the machine run as planned, and if not, why not, most likely."""
