"""A finished plan as text, data, drawing or page."""
