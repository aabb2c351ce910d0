"""What an earlier finding has explained, so that one cause is told once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from slotfit.answers.verify.answer import Finding
from slotfit.answers.verify.match import End

FAULT, OPEN, NOTE = "fault", "open", "note"
"""Weights of findings: not as planned; cannot be told; no fault."""


@dataclass(slots=True)
class Explained:
    """Parts of the plan, and things that answer, that a fault found before speaks of."""

    parts: set[str] = field(default_factory=set)
    ends: list[End] = field(default_factory=list)
    all: bool = False
    """The listing as a whole says nothing of this machine: no part needs a word of its own."""
    no_rights: bool = False
    """Links and places do not show in it: what cannot be told is told once."""

    def add(self, finding: Finding) -> None:
        """Take a finding in: what it explains needs no other."""
        if finding.weight == FAULT:
            self.parts |= set(finding.items)
        self.all = self.all or finding.kind in WHOLE
        self.no_rights = self.no_rights or finding.kind == "no-rights"

    def is_new(self, finding: Finding) -> bool:
        """Whether a finding adds anything: without rights all that is open is open for that."""
        return not (self.no_rights and finding.weight == OPEN)

    def covers(self, parts: Iterable[str]) -> bool:
        """Whether all of these are explained already."""
        return self.all or self.parts >= set(parts)

    def has(self, end: End) -> bool:
        """Whether a finding has named this thing."""
        return any(end is one for one in self.ends)


WHOLE = ("another-machine", "not-read")
"""Findings beside which no part needs one of its own."""
