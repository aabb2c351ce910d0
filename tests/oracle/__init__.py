"""
A plain judge of plans, written from the hardware's meaning: it looks at every plan there is.

It imports the model's classes and the published tables, and nothing that reasons: no rule, no
seating, no training, no flow, no costs, no solver. Slow and simple on purpose; what it says of a
small build is what slotfit must say.
"""

from tests.oracle.judge import Best, Choice, Judge, best

__all__ = ["Best", "Choice", "Judge", "best"]
