"""When a passive part needs moving air."""

STILL_AIR_W = 25
"""
A passive part that draws more needs moving air, even where nobody has said how much.

What a slot gives any card seldom needs a fan: common practice, no source.
"""
