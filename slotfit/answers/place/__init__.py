"""Where every part goes: the plan, what it rests on, and what is left."""
