"""What `check` says of one receptacle, sentence by sentence, for every output alike."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.render.check.view import EndpointView, UnprovenView, VerdictView


def setting_sentence(alike: Sequence[VerdictView]) -> str:
    """What to choose, and what these receptacles then have."""
    first = alike[0]
    setting = first.setting or ""
    names = ", ".join(one.name for one in alike)
    verb = "have" if len(alike) > 1 else "has"
    return f"{setting[:1].upper()}{setting[1:]}: {names} then {verb} {first.gives}."


def unproven_sentences(
    word: str, facts: Iterable[UnprovenView], others: str = ""
) -> Iterator[tuple[str, str]]:
    """Facts, and how to find them out; those found out alike together."""
    alike: dict[str, list[str]] = {}
    for fact in facts:
        alike.setdefault(fact.find_out, []).append(fact.statement)
    for find_out, statements in alike.items():
        yield f"{word}{'; '.join(statements)}{others}.", f"Find out: {find_out}."


def is_told_apart(endpoints: Sequence[EndpointView]) -> bool:
    """Whether there is more to say than of one link."""
    return len(endpoints) > 1 or any(one.kind == "socket" for one in endpoints)


def doubts(one: VerdictView, others: str = "") -> Iterator[tuple[str, str]]:
    """Everything unproven, what decides first."""
    yield from unproven_sentences("Not known: ", one.unknown, others)
    open_ = "Open, though as many are seen either way: "
    yield from unproven_sentences(open_, one.open, others)
    yield from unproven_sentences("Provided that ", one.provided, others)


def sentences(one: VerdictView) -> Iterator[str]:
    """All of it but the reasons: what is seen, what to set, what stays dark, what it hangs on."""
    if one.summary:
        yield one.summary
    if one.setting:
        yield setting_sentence([one])
    for endpoint in one.endpoints if is_told_apart(one.endpoints) else ():
        if endpoint.dark:
            yield f"{endpoint.name} stays dark: {endpoint.dark}."
    for doubt, find_out in doubts(one):
        yield f"{doubt} {find_out}"
    yield from one.notes
