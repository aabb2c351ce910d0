"""Boards side by side, and the room that a plan leaves, as text, page and picture."""
