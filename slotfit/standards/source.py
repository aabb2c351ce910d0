"""Where a published figure comes from, and how far it may be trusted."""

from typing import NamedTuple

READ = "read in the source"
MEASURED = "measured"
AS_QUOTED = "as quoted"
WORKED_OUT = "worked out from quoted figures"
FROM_MEMORY = "from memory"
COMMON_PRACTICE = "common practice, no source"
OWN_WORD = "our own word"

MARKS = (READ, MEASURED, AS_QUOTED, WORKED_OUT, FROM_MEMORY, COMMON_PRACTICE, OWN_WORD)
"""From the surest to the least sure; the last is no claim about the world at all."""


class Source(NamedTuple):
    """
    A document, the place in it, and how sure the figure is.

    `mark` is one of `MARKS`, or empty where nothing is said.

    >>> str(Source("DSP0134", "7.10", AS_QUOTED))
    'DSP0134 7.10 (as quoted)'
    """

    document: str
    section: str
    mark: str = ""

    def __str__(self) -> str:
        place = f"{self.document} {self.section}".strip()
        return f"{place} ({self.mark})" if self.mark and place else place or self.mark
