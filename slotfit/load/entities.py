"""From what a file says to the entities of the model, each knowing where it was written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from slotfit.errors import InputError, Mistake
from slotfit.load.checks import board_mistakes, part_mistakes, served_by
from slotfit.load.expand import expand, usual_bus
from slotfit.load.findings import Finding, error_of, is_miscounted, mistakes_of
from slotfit.load.schema_walk import field_name
from slotfit.load.words import quote
from slotfit.load.yaml_file import (
    Loc,
    Map,
    Seq,
    Written,
    children,
    parse_yaml,
    path_text,
    read_yaml,
    span_at,
    steps_of,
    value_at,
)
from slotfit.model.entity import Entity, Span
from slotfit.model.part import Link, Part, PartReceptacle, Plug

Described = TypeVar("Described", bound=Entity)

KINDS = ("board", "part", "chassis", "power-supply", "build", "futures")


class Outcome(Generic[Described]):
    """What could be made of a description, and everything wrong with it."""

    def __init__(
        self,
        entity: Described | None,
        mistakes: list[Mistake] | None = None,
        lost: frozenset[str] = frozenset(),
    ) -> None:
        self.entity = entity
        """Without what is wrong in it, so that the rest can be checked in the same run; None if too
        little was left."""
        self.mistakes = [] if mistakes is None else mistakes
        self.lost = lost
        """Ids of what was left out; naming one of them is not a further mistake."""


def describe(model: type[Described], written: Written, at: Loc = ()) -> Outcome[Described]:
    """Read the entity at `at`; never raises for what a file may say."""
    found = value_at(written.root, at)
    if not isinstance(found, Map):
        text = f"expected a mapping such as {{id: ...}}, not {quote(found)}"
        return Outcome(None, [Mistake(span_at(written, at), path_text(at), text)])
    if wrong := of_another_kind(model, found, written, at):
        return Outcome(None, [wrong])
    entity, kept, findings, lost = salvage(model, found)
    if entity is not None:
        mark_all(entity, kept, span_at(written, at))
    return Outcome(entity, in_words(model, findings, written, at), lost)


def in_words(
    model: type[Entity], findings: Sequence[Finding], written: Written, at: Loc
) -> list[Mistake]:
    if not findings:
        return []

    return [*mistakes_of(model, findings, written, at)]


def salvage(
    model: type[Described], found: Map
) -> tuple[Described | None, Map, Sequence[Finding], frozenset[str]]:
    """
    The entity that is left when everything wrong is taken out; None if too little is.

    With it: what it was made from, all that was wrong at first (what comes up later is only an echo
    of what was taken out), and the ids that went.
    """
    first: Sequence[Finding] = ()
    lost: frozenset[str] = frozenset()
    while True:
        try:
            return model.model_validate(found, strict=True), found, first, lost
        except ValidationError as error:
            findings: Sequence[Finding] = error.errors(include_url=False)
        first = first or findings
        if nameless(findings):
            found = called(found, "unnamed")
            continue
        wrong = (finding["loc"] for finding in findings if not is_miscounted(finding))
        gone = {steps_of(found, loc) for loc in wrong}
        if not gone or () in gone:
            return None, found, first, lost
        lost |= {name for loc in gone for name in ids_at(found, loc)}
        found = without(found, gone)


def nameless(findings: Iterable[Finding]) -> bool:
    """Whether the entity itself lacks its id."""
    return any(finding["type"] == "missing" and finding["loc"] == ("id",) for finding in findings)


def called(found: Map, name: str) -> Map:
    """A copy with an id that nobody wrote."""
    copy: Map = without(found, set())
    copy["id"], copy.spans["id"] = name, found.span
    return copy


def of_another_kind(model: type[Entity], found: Map, written: Written, at: Loc) -> Mistake | None:
    """A part where a board is expected is one mistake, not one for each key."""
    info = model.model_fields.get("kind")
    kind = found.get("kind")
    if info is None or kind == info.default or kind not in KINDS:
        return None
    text = f"this describes a {kind}; a {info.default} is expected here"
    return Mistake(span_at(written, (*at, "kind")), path_text((*at, "kind")), text)


def ids_at(found: Any, loc: Loc) -> Iterator[str]:
    """Every id in what stands at `loc`."""
    value = value_at(found, loc)
    if isinstance(value, str) and loc[-1] == "id":
        yield value
    for step, _, _ in children(value):
        yield from ids_at(found, (*loc, step))


def without(value: Any, gone: set[Loc], here: Loc = ()) -> Any:
    """A copy that lacks what stands at the given places."""
    if isinstance(value, Map):
        copy = Map(value.span)
        for key, inner in value.items():
            if (*here, key) not in gone:
                copy[key] = without(inner, gone, (*here, key))
                copy.spans[key] = value.spans[key]
        return copy
    if isinstance(value, Seq):
        keep = [number for number in range(len(value)) if (*here, number) not in gone]
        items = [without(value[number], gone, (*here, number)) for number in keep]
        return Seq.of(value.span, items, [value.spans[number] for number in keep])
    return value


def mark_all(entity: Entity, found: Map, span: Span) -> None:
    """Tell an entity, and every entity inside it, where its fields were written."""
    marks = entity.marks
    marks[""] = span
    for key, value in found.items():
        name = field_name(type(entity), key)
        marks[key] = found.spans[key]
        mark_value(marks, name, getattr(entity, name), value, found.spans[key])


def mark_value(marks: dict[str, Span], path: str, made: Any, value: Any, span: Span) -> None:
    """Mark what stands in one field: `entity.span("only[1]")`, `entity.span("today.gpu")`."""
    marks[path] = span
    if isinstance(made, Entity):
        if isinstance(value, Map):
            mark_all(made, value, span)
        else:  # a short form: its fields were not written one by one
            made.marks[""] = span
        return
    for step, one, inner, place in parts_of(made, value, span):
        mark_value(marks, path + step, one, inner, place)


def parts_of(made: Any, value: Any, span: Span) -> Iterator[tuple[str, Any, Any, Span]]:
    """What a list or mapping holds: its step in a path, as made, as written, and where."""
    match made, value:
        case tuple(), Seq():
            for number, (one, inner) in enumerate(zip(made, value, strict=True)):
                yield f"[{number}]", one, inner, value.spans[number]
        case tuple(), _:
            for number, one in enumerate(made):
                yield f"[{number}]", one, None, span
        case dict(), Map():
            for key, inner in value.items():
                yield f".{key}", made[key], inner, value.spans[key]
        case _:
            pass


def finish(part: Part) -> Part:
    """
    The part with buses that follow from a form, and with passive links that lead somewhere.

    Links of a passive part without any `to` go to its receptacles one to one, in order, if there
    are as many of one as of the other.
    """
    receptacles = tuple(map(with_bus, part.receptacles))
    fed = {name for plug in part.extra_plugs for name in plug.feeds}
    own = [one for one in receptacles if one.id not in fed]
    plugs = tuple(
        plug.model_copy(
            update={
                "links": led(
                    links_of(plug.plug, plug.links),
                    [one for one in receptacles if one.id in plug.feeds],
                    part,
                )
            }
        )
        for plug in part.extra_plugs
    )
    links = led(links_of(part.plug, part.links), own, part)
    return part.model_copy(
        update={"receptacles": receptacles, "links": links, "extra_plugs": plugs}
    )


def with_bus(receptacle: PartReceptacle) -> PartReceptacle:
    said = "bus" in receptacle.model_fields_set
    bus = usual_bus(receptacle.form, receptacle.bus, said=said)
    return receptacle.model_copy(update={"bus": bus})


def links_of(plug: Plug, links: Sequence[Link]) -> tuple[Link, ...]:
    return tuple(
        link.model_copy(
            update={"bus": usual_bus(plug.form, link.bus, said="bus" in link.model_fields_set)}
        )
        for link in links
    )


def led(links: tuple[Link, ...], own: Sequence[PartReceptacle], part: Part) -> tuple[Link, ...]:
    """Links with their `to` filled in where it follows."""
    served = served_by(links, own)
    if part.wiring != "passive" or len(links) != len(served) or any(link.to for link in links):
        return links
    return tuple(
        link.model_copy(update={"to": (one.id,)}) for link, one in zip(links, served, strict=True)
    )


def read_whole(model: type[Described], written: Written, at: Loc = ()) -> Outcome[Described]:
    """The entity at `at`, complete. A board with mistakes is left as it is written."""
    outcome = describe(model, written, at)
    complete = COMPLETE.get(kind_named(model))
    if complete and outcome.entity is not None:
        complete(outcome, outcome.entity, written)
    return outcome


def kind_named(model: type[Entity]) -> str:
    """The word a file has for this kind of entity."""
    return str(model.model_fields["kind"].default)


def complete_part(outcome: Outcome[Any], part: Any, written: Written) -> None:

    finished = finish(part)
    outcome.entity = finished
    outcome.mistakes += part_mistakes(finished, written, outcome.lost)


def complete_board(outcome: Outcome[Any], board: Any, written: Written) -> None:
    # Imported here so that showing one part does not pay for the model of boards.

    outcome.mistakes += board_mistakes(board, written, outcome.lost)
    if not outcome.mistakes:
        outcome.entity = expand(board)


Complete = Callable[[Outcome[Any], Any, Written], None]

COMPLETE: dict[str, Complete] = {"part": complete_part, "board": complete_board}
"""Kind -> what is left to do with it; the other kinds are complete as they are written."""


def read_file(
    path: Path, model: type[Described], *, check_name: bool = False
) -> Outcome[Described]:
    """What a file describes; `check_name` insists that it is called as its id."""
    try:
        written = read_yaml(path)
    except InputError as error:
        return Outcome(None, list(error.mistakes))
    outcome = read_whole(model, written)
    outcome.mistakes[:0] = written.mistakes
    name = value_at(written.root, ("id",))
    if check_name and isinstance(name, str) and name != path.stem:
        text = f"the file is called {path.stem}; file name and id must agree"
        outcome.mistakes.append(Mistake(span_at(written, ("id",)), "id", text))
    return outcome


def read_inline(text: str, model: type[Described], file: str) -> Described:
    """What a piece of YAML describes, `file` being its name in messages; raises InputError."""
    written = parse_yaml(text, file)
    outcome = read_whole(model, written)
    outcome.mistakes[:0] = written.mistakes
    return settled(outcome)


def settled(outcome: Outcome[Described]) -> Described:
    """The entity if nothing is wrong; raises InputError with everything that is."""
    if outcome.mistakes or outcome.entity is None:
        raise error_of(outcome.mistakes)
    return outcome.entity
