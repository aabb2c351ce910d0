"""The same parts on other boards, side by side."""
