"""Likely futures: how many of them a board could take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from slotfit.answers.compare.answer import OutlookView
from slotfit.answers.compare.left_out import Most
from slotfit.answers.headroom.additions import Probe, added, expected, keeping, together, with_parts
from slotfit.answers.place.plan import place
from slotfit.load.build_file import References
from slotfit.load.catalog import Catalog
from slotfit.load.checks import Complaints
from slotfit.load.entities import describe
from slotfit.load.findings import error_of
from slotfit.load.yaml_file import read_yaml
from slotfit.load.yaml_text import folder_of
from slotfit.model.build import Addition, Futures
from slotfit.model.part import Part
from slotfit.model.plan import Status
from slotfit.model.problem import Problem


@dataclass(frozen=True)
class Outlook:
    """Additions that may come, and how likely they are against other futures."""

    name: str
    weight: float
    additions: tuple[Probe, ...]

    @property
    def probe(self) -> Probe:
        """All of its additions at once."""
        return together(self.additions, self.name)


def robustness(most: Most, outlooks: Sequence[Outlook], seconds: float) -> OutlookView:
    """Which futures fit beside the plan; none where the parts of today do not all fit."""
    plan = most.placed.plan
    if plan is None or most.missing:
        return outlook_of(outlooks, {one.name: False for one in outlooks})
    base = keeping(most.placed.problem, plan)
    return outlook_of(outlooks, {one.name: takes(base, one, seconds) for one in outlooks})


def takes(base: Problem, outlook: Outlook, seconds: float) -> bool | None:
    """Whether the additions of a future fit; None if time ran out. Anything may move for them."""
    asked = with_parts(base, added(base, outlook.probe, 1))
    status = place(replace(asked, preferences=()), seconds).status
    return None if status is Status.UNKNOWN else status is not Status.IMPOSSIBLE


def outlook_of(outlooks: Sequence[Outlook], fits: Mapping[str, bool | None]) -> OutlookView:
    """The futures by what became of them."""
    total = sum(one.weight for one in outlooks)
    by_answer = {
        answer: tuple(one.name for one in outlooks if fits[one.name] is answer)
        for answer in (True, False, None)
    }
    weight = sum(one.weight for one in outlooks if fits[one.name])
    return OutlookView(by_answer[True], by_answer[False], by_answer[None], weight / total)


def load_futures(path: Path, catalog: Catalog) -> tuple[Outlook, ...]:
    """The futures that a file lists. Raises InputError with everything that is wrong in it."""
    written = read_yaml(path)
    outcome = describe(Futures, written)
    references = References(written, catalog, folder_of(path))
    references.mistakes += [*written.mistakes, *outcome.mistakes]
    found: list[Outlook] = []
    if outcome.entity is not None:
        futures = outcome.entity.futures
        complaints = Complaints(written, outcome.lost, references.mistakes)
        complaints.unique([(one.id, one) for one in futures], "futures")
        for one in futures:
            probes = [addition(references, wanted) for wanted in one.parts]
            found.append(Outlook(one.id, one.weight, tuple(filter(None, probes))))
    if references.mistakes or not found:
        raise error_of(references.mistakes, written.file)
    return tuple(found)


def addition(references: References, wanted: Addition) -> Probe | None:
    """What is added; None, with the mistake noted, if its part cannot be read."""
    part = references.follow(wanted, "part", Part).entity
    return expected(part, wanted.count) if part is not None else None
