"""How far an answer is proven."""

from enum import Enum


class Status(Enum):
    """How far the answer is proven."""

    PROVEN = "proven"
    """A plan, and no better one exists."""
    UNPROVEN = "unproven"
    """A plan, but time ran out before every stage was proven."""
    IMPOSSIBLE = "impossible"
    """No plan exists."""
    UNKNOWN = "unknown"
    """Time ran out before a plan was found or ruled out."""
