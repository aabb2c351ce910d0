"""Undoes what mail, forums, terminals and other systems do to a text that was pasted."""

from slotfit.read.pasted.text import Line, decode, lines_of

__all__ = ["Line", "decode", "lines_of"]
