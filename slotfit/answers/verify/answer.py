"""The answer to `slotfit verify`, as plain values: planned against seen, part by part."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.answer_word import AnswerWord

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class LikelyCause:
    """A likely cause, and the next thing to try."""

    cause: str
    """A word for it that stays the same: `seating`, `split-not-set`, `wrong-slot`."""
    text: str
    next: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One difference between plan and machine."""

    kind: str
    """
    another-machine, not-read, no-rights, processor-missing, elsewhere, changed-places, missing,
    another-part, fewer-drives, device-missing, narrower, slower, resting, other-processor,
    other-order, shared-isolation, errs, extra, not-known.
    """
    weight: str
    """fault: not as planned; open: cannot be told from what was read; note: no fault."""
    items: tuple[str, ...]
    site: str | None
    text: str
    causes: tuple[LikelyCause, ...]


@dataclass(frozen=True, slots=True)
class SwapResult:
    """Who is still suspected after a change, and which change comes next."""

    suspects: tuple[str, ...]
    next: int | None
    """Number of a change; None: nothing more can be told."""


@dataclass(frozen=True, slots=True)
class Swap:
    """One change that tells suspects apart."""

    number: int
    do: str
    sign: str
    """What shows that the fault went with it, as a clause."""
    goes: SwapResult
    stays: SwapResult


@dataclass(frozen=True, slots=True)
class Suspects:
    """Failing parts that one cause explains, and how to find it."""

    parts: tuple[str, ...]
    suspects: tuple[str, ...]
    """What all of them depend on, and no healthy part does."""
    not_cleared: tuple[str, ...]
    """What all of them depend on, and healthy parts too."""
    first: tuple[LikelyCause, ...]
    """Known causes outside the hardware, to be tried before anything is touched or bought."""
    swaps: tuple[Swap, ...]


@dataclass(frozen=True, slots=True)
class LinkFound:
    """One link of a part, in figures."""

    at: int
    """The part's lane at which it begins."""
    lanes_planned: int
    generation_planned: int | None
    lanes: int | None
    """Now; 0: it does not answer; None: what was read does not show it."""
    generation: int | None
    errors: tuple[int, int, int] | None
    """Corrected, nonfatal, fatal ones since the system started, on both ends; None: nobody counts
    them."""


@dataclass(frozen=True, slots=True)
class PartFound:
    """One part of the plan, and how it was found."""

    item: str
    site: str
    label: str
    planned: str
    """`gen 4 x8`; empty for what has no link of its own."""
    seen: str
    """`gen 4 x8`, `not there`, `not known`."""
    says: str
    """as planned | what is wrong, in a word or two | cannot be seen from the bus"""
    good: bool | None
    """None: nothing that was read can tell."""
    address: str | None
    names: tuple[str, ...]
    """What the system calls it: drives, interfaces."""
    links: tuple[LinkFound, ...] = ()
    """Its own links, as planned and as they are."""


@dataclass(frozen=True, slots=True)
class VerifyVerdict:
    """Whether all is as planned."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    good: bool
    headline: str


@dataclass(frozen=True, slots=True)
class VerifyPlan:
    """The plan, held against the machine."""

    against: str
    """`the plan` or `today's layout`."""
    parts: tuple[PartFound, ...]


@dataclass(frozen=True, slots=True)
class VerifyDo:
    """What to put right."""

    faults: tuple[Finding, ...]
    """What is not as planned, each with its likely causes and what to try."""
    cautions: tuple[str, ...]
    suspects: tuple[Suspects, ...] = ()
    """Of the parts that were said to fail, or that err: who is to blame, and how to find out."""


@dataclass(frozen=True, slots=True)
class VerifyWatch:
    """What nobody can tell from what was read."""

    open: tuple[Finding, ...]
    unmatched: tuple[str, ...]
    """Receptacles of the plan that nothing in the machine could be tied to."""
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class VerifyMore:
    """What else was seen."""

    no_fault: tuple[Finding, ...]
    sources: tuple[tuple[str, str], ...]
    """What kind of listing each was, and where it stands."""


@dataclass(frozen=True, slots=True)
class VerifyAnswer:
    """The plan of one machine held against that machine as it is."""

    schema_version: int
    build: str
    machine: str
    verdict: VerifyVerdict
    plan: VerifyPlan
    do: VerifyDo
    watch: VerifyWatch
    more: VerifyMore
