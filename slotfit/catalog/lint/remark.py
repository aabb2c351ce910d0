"""One thing that lint has to say."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from slotfit.errors import Mistake
from slotfit.model.entity import Entity
from slotfit.model.span import Span

Sort = Literal["mistake", "implausible", "unsourced", "unknown"]

Question = Literal["place", "check", "sequence", "compare"]

QUESTIONS: dict[Question, str] = {
    "place": "which slot for each card?",
    "check": "will this part work here?",
    "sequence": "what do I pull first?",
    "compare": "would another board be better?",
}
"""Command -> the question it answers."""


@dataclass(frozen=True, slots=True)
class Remark:
    """A mistake, an unlikely figure, a figure without a source, or a fact not known yet."""

    sort: Sort
    where: Span | str
    path: str
    """The field, such as `slot3: splits`; empty for the whole file."""
    text: str
    changes: tuple[Question, ...] = ()
    """Questions whose answer may change once an unknown fact is known."""
    rule: str = ""
    """The rule that doubts until then."""
    find_out: str = ""

    @property
    def counts(self) -> bool:
        """Whether something is to be mended; what is merely unknown is no fault."""
        return self.sort != "unknown"


@dataclass(frozen=True, slots=True)
class Report:
    """Everything there is to say of one file, line by line."""

    file: str
    kind: str
    id: str
    remarks: tuple[Remark, ...]

    def of(self, sort: Sort) -> list[Remark]:
        """The remarks of one sort."""
        return [one for one in self.remarks if one.sort == sort]

    @property
    def is_clean(self) -> bool:
        """Whether nothing is to be mended."""
        return not any(one.counts for one in self.remarks)


def of_mistake(mistake: Mistake) -> Remark:
    """What the loader refuses."""
    return Remark("mistake", mistake.where, mistake.path, mistake.text)


@dataclass(frozen=True, slots=True)
class Gap:
    """A fact that may be missing, and what hangs on it."""

    field: str
    rule: str
    changes: tuple[Question, ...]
    when: Callable[[Any], bool]
    """Whether the fact is missing and would matter, for the thing it is a fact of."""
    then: str
    """What is not known without it, as a sentence without its full stop."""
    find_out: str


def gaps_in(
    things: Iterable[tuple[str, Entity]], gaps: Iterable[Gap], file: str
) -> Iterator[Remark]:
    """What is not known of each thing; the text before a thing is how to call it."""
    rows = tuple(gaps)
    for name, thing in things:
        for gap in rows:
            if gap.when(thing):
                where = thing.span(gap.field) or file
                path = f"{name}: {gap.field}" if name else gap.field
                yield Remark("unknown", where, path, gap.then, gap.changes, gap.rule, gap.find_out)
