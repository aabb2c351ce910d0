"""Where a published figure comes from, and how far it may be trusted."""

import re
from typing import Literal, NamedTuple, get_args

READ = "read in the source"
MEASURED = "measured"
AS_QUOTED = "as quoted"
WORKED_OUT = "worked out from quoted figures"
TYPICAL = "typical, ask the data sheet"
FROM_MEMORY = "from memory"
COMMON_PRACTICE = "common practice, no source"
OWN_WORD = "our own word"

MARKS = (READ, MEASURED, AS_QUOTED, WORKED_OUT, TYPICAL, FROM_MEMORY, COMMON_PRACTICE, OWN_WORD)
"""From the surest to the least sure; the last is no claim about the world at all."""

Trust = Literal["source", "typical", "from memory", "common practice", "our own word", "none"]
"""What a figure rests on: a document or a measure, what most of a class have, somebody's memory,
what the trade does, a word of this project; nothing at all."""
TRUSTS: tuple[Trust, ...] = get_args(Trust)

TRUST: dict[str, Trust] = {
    **dict.fromkeys((READ, MEASURED, AS_QUOTED, WORKED_OUT), "source"),
    TYPICAL: "typical",
    FROM_MEMORY: "from memory",
    COMMON_PRACTICE: "common practice",
    OWN_WORD: "our own word",
}
MARKED = re.compile(
    rf"\(({'|'.join(map(re.escape, MARKS))})\)|^({'|'.join(map(re.escape, MARKS))})$"
)


def trust_of(source: str) -> Trust:
    """
    What a figure with this source rests on; a document named without a mark is one that was read.

    >>> trust_of("SFF-8639 (as quoted)"), trust_of("from memory"), trust_of("")
    ('source', 'from memory', 'none')
    """
    found = MARKED.findall(source)
    if not found:
        return "source" if source else "none"
    return max((TRUST[one or other] for one, other in found), key=TRUSTS.index)


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
