"""Choosing: the same parts on other boards, and the room that a plan leaves."""
