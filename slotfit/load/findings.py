"""All of pydantic's errors of one entity, as mistakes in our own words, one a place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.errors import Mistake
from slotfit.load.finding import Finding, is_miscounted
from slotfit.load.hints import closest
from slotfit.load.schema_walk import entity_at, expected_at, keys_of
from slotfit.load.wording import either, sentence
from slotfit.load.written import Loc, Written, path_text, span_at, steps_of
from slotfit.model.entity import Entity


def mistakes_of(
    model: type[Entity], findings: Sequence[Finding], written: Written, at: Loc
) -> Iterator[Mistake]:
    """One mistake a place, worded; echoes of what was refused earlier are left out."""
    for same in grouped(model, findings).values():
        finding = same[0]
        loc = (*at, *finding["loc"])
        if echo(finding, loc, written) or misspelt(model, finding):
            continue
        steps = steps_of(written.root, loc)
        named = (*steps, loc[-1]) if finding["type"] == "missing" else steps
        text = sentence(model, finding) if len(same) == 1 else either(model, same)
        yield Mistake(span_at(written, loc), path_text(named), text)


def grouped(model: type[Entity], findings: Iterable[Finding]) -> dict[Loc, list[Finding]]:
    """Findings by place: a value that fits none of a union's kinds has one for each."""
    groups: dict[Loc, list[Finding]] = {}
    for finding in findings:
        loc = finding["loc"]
        is_union = bool(loc) and len(expected_at(model, loc[:-1])) > 1
        groups.setdefault(loc[:-1] if is_union else loc, []).append(finding)
    return groups


def echo(finding: Finding, loc: Loc, written: Written) -> bool:
    """Whether this only follows from another mistake."""
    if is_miscounted(finding):
        return True
    return any(loc[: len(spoiled)] == spoiled for spoiled in written.spoiled)


def misspelt(model: type[Entity], finding: Finding) -> bool:
    """A key seems missing because it is there under a wrong name, which is its own mistake."""
    kind = entity_at(model, finding["loc"][:-1])
    if finding["type"] != "missing" or kind is None:
        return False
    keys = keys_of(kind)
    wrong = [key for key in finding["input"] if key not in keys]
    return any(closest(key, keys) == finding["loc"][-1] for key in wrong)
