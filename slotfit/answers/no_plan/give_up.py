"""Wishes of the build file that may be taken back, each as a change."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Any

from slotfit.answers.no_plan.case import (
    Case,
    Entry,
    bodies,
    entries_of,
    first_alike,
)
from slotfit.answers.no_plan.changed import leaving, with_typical, with_wish, without
from slotfit.answers.no_plan.clash import only_on
from slotfit.listing import listed, natural
from slotfit.model.build import Group
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seat
from slotfit.model.spread import Spread, spreads
from slotfit.model.units import unit_named


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of change."""

    id: str
    title: str
    why: str
    """Why it stands where it stands in the order; our own judgement, common practice."""
    closed_by: tuple[str, ...] = ()
    """Words of `untouchable` that rule it out; a part's name always does."""


KINDS: tuple[Kind, ...] = (
    Kind("typical", "what is typical of a class", "a data sheet read, and nothing is given up"),
    Kind("bracket", "the other bracket", "a few screws, and the part does all it did"),
    Kind("place", "a wish where a part goes", "a wish taken back costs nothing but the wish"),
    Kind("near", "a wish for a processor", "the part works, its traffic crosses the processors"),
    Kind("group", "parts together or apart", "all parts work; what the wish was for is lost"),
    Kind("machine", "the other machine", "all parts work, in another machine", ("machine",)),
    Kind("lanes", "fewer lanes, or slower ones", "the part works, with less bandwidth"),
    Kind("guest", "another guest", "the part works, for another owner"),
    Kind("endpoints", "fewer endpoints", "the part works in part"),
    Kind("more", "one part more", "a small thing to buy, nothing is given up", ("buy",)),
    Kind("other-part", "another kind of part", "a card to buy, nothing is given up", ("buy",)),
    Kind("supply", "another power supply", "to buy, and every cable with it", ("buy",)),
    Kind("processors", "one processor more", "to buy, with its cooler", ("buy", "processors")),
    Kind("chassis", "another chassis", "everything moves into it", ("buy", "machine")),
    Kind("board", "another board", "everything moves onto it", ("buy", "board", "machine")),
    Kind("leave-out", "one part less", "what it did is gone"),
)

RANK = {kind.id: number for number, kind in enumerate(KINDS)}
BY_ID = {kind.id: kind for kind in KINDS}


Wording = Callable[[Plan | None], str]
"""What to do, as an order; with the plan it leads to, if there is one yet."""

Amend = Callable[[Problem], Problem]
"""The problem once it is done."""


@dataclass(frozen=True)
class Option:
    """One way to do it."""

    words: Wording
    made: Amend
    mind: str = ""
    called: str = ""
    """The thing to buy, where there are several to choose from."""


@dataclass(frozen=True)
class Change:
    """One thing to give up or to buy."""

    kind: str
    subject: str
    """The part, machine or group that it is about."""
    label: str
    """What to do, before it is known how; tells changes of a kind to one subject apart."""
    find: Callable[[], tuple[Option, ...]]
    """The ways to do it, what changes least first; looked up when they are asked for."""
    asks: Amend | None = None
    """
    What all rules are asked about, to know which reasons it does away with.

    Of many things to buy it is the build in which nothing is known of the old one: what nobody has
    said is never a reason. None: what stands in says all.
    """
    stands_for: tuple[Part, ...] = ()
    """Parts that are there only if this is done; the first is the part itself."""
    nearness: tuple[float, ...] = ()
    """Of several changes of a kind to one subject: the smaller, the less it changes."""

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """The ways to do it, what changes least first."""
        return self.find()

    @property
    def name(self) -> str:
        """Its atom in the solver's model."""
        return f"change {self.kind} {self.subject}: {self.label}"

    @property
    def order(self) -> tuple[object, ...]:
        """What is given up most readily first."""
        return (RANK[self.kind], natural(self.subject), self.nearness, natural(self.label))


def single(
    kind: str,
    subject: str,
    option: Option,
    nearness: tuple[float, ...] = (),
) -> Change:
    """A change that is done in one way only."""
    label = option.words(None)
    return Change(kind, subject, label, lambda: (option,), option.made, nearness=nearness)


def fixed(text: str) -> Wording:
    """Words that do not hang on the plan."""
    return lambda plan: text  # noqa: ARG005 - one shape for all wordings


def untouched(problem: Problem, kind: str, *names: str) -> bool:
    """Whether the build file rules this out: by a part's name, or by a word for the kind."""
    closed = {*BY_ID[kind].closed_by, *names}
    return not closed.isdisjoint(problem.untouchable)


def wishes_back(problem: Problem) -> Iterator[Change]:
    """Every wish for a part that may be taken back; one for a counted part, for all of it."""
    for entry in entries_of(problem):
        for kind, changes in WISHES.items():
            if not untouched(problem, kind, *(part.id for part in entry)):
                yield from changes(problem, entry)


def seats_of(plan: Plan | None, entry: Entry) -> list[Seat]:
    """Where the plan puts the parts of an entry; nowhere if there is no plan yet."""
    names = {part.id for part in entry}
    return [seat for seat in plan.seats if seat.part in names] if plan else []


def named(entry: Entry) -> str:
    """What the entry's parts are called."""
    return listed(part.id for part in entry)


def place(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`pin`, `only` and `ban`."""
    del problem
    wish = entry[0].wish
    if wish.is_unknown:
        return  # nobody can say where else it could go
    if wish.pin or wish.only:
        places = listed((wish.pin,) if wish.pin else wish.only, "or")
        said = partial(elsewhere, entry, f"go elsewhere than into {places}")
        yield taken_back(entry, "place", said, pin=None, only=())
    if wish.ban:
        said = partial(elsewhere, entry, f"go into {listed(wish.ban, 'or')} after all")
        yield taken_back(entry, "place", said, ban=())


def elsewhere(entry: Entry, text: str, plan: Plan | None) -> str:
    """`let gpu go elsewhere than into slot3: into slot5`."""
    receptacles = [seat.receptacle for seat in seats_of(plan, entry)]
    return f"let {named(entry)} {text}" + (f": into {listed(receptacles)}" if receptacles else "")


def near(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`must_be_near`; the wish for the processor stays as a preference."""
    del problem
    if entry[0].wish.must_be_near:
        yield taken_back(entry, "near", partial(hanging, entry), must_be_near=False)


def hanging(entry: Entry, plan: Plan | None) -> str:
    """`let hba hang on another processor than cpu0: on cpu1`."""
    found = [seat.upstream.processor for seat in seats_of(plan, entry) if seat.upstream.processor]
    now = f": on {listed(found)}" if found else ""
    return f"let {named(entry)} be attached to another processor than {entry[0].wish.near}{now}"


def machine(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`machine`, where there is another one."""
    if entry[0].wish.machine and len(problem.machines) > 1:
        said = partial(moved, entry)
        yield taken_back(entry, "machine", said, machine=None)


def moved(entry: Entry, plan: Plan | None) -> str:
    """`put nic into ridge instead of marsh`."""
    there = listed(seat.upstream.machine for seat in seats_of(plan, entry)) or "another machine"
    return f"put {named(entry)} into {there} instead of {entry[0].wish.machine}"


def lanes(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`min_lanes` and `min_generation`, down to what the part itself needs."""
    del problem
    wish, spec = entry[0].wish, entry[0].spec
    if (wish.min_lanes or 0) > (spec.min_lanes or 0):
        said = partial(narrower, entry)
        yield taken_back(entry, "lanes", said, min_lanes=None)
    if (wish.min_generation or 0) > (spec.min_generation or 0):
        said = partial(slower, entry)
        yield taken_back(entry, "lanes", said, min_generation=None)


def narrower(entry: Entry, plan: Plan | None) -> str:
    """`accept x4 for nic instead of x8`."""
    found = [link.lanes for seat in seats_of(plan, entry) for link in seat.links if link.lanes]
    there = f"x{min(found)}" if found else "fewer lanes"
    return f"accept {there} for {named(entry)} instead of x{entry[0].wish.min_lanes}"


def slower(entry: Entry, plan: Plan | None) -> str:
    """`accept generation 3 for nic instead of 4`."""
    links = [link for seat in seats_of(plan, entry) for link in seat.links]
    found = [link.generation for link in links if link.generation]
    there = f"generation {min(found)}" if found else "an older generation"
    return f"accept {there} for {named(entry)} instead of {entry[0].wish.min_generation}"


def endpoints(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`endpoints`: some stay dark. All are still wished for, as a preference."""
    del problem
    if entry[0].wish.endpoints:
        said = partial(fewer, entry)
        yield taken_back(entry, "endpoints", said, endpoints=None)


def fewer(entry: Entry, plan: Plan | None) -> str:
    """`accept that 2 of the 4 endpoints asked of scans stay dark`."""
    wished = entry[0].wish.endpoints or 0
    dark = sum(max(wished - seat.alive, 0) for seat in seats_of(plan, entry)) or "some"
    return f"accept that {dark} of the {wished} endpoints asked of {named(entry)} are not detected"


def guest(problem: Problem, entry: Entry) -> Iterator[Change]:
    """Another owner for the part: one that some other part already has."""
    if not entry[0].spec.links or entry[0].wish.is_shared:
        return
    now = entry[0].wish.owner
    owners = {other.wish.owner for other in problem.parts if other.spec.links}
    for owner in sorted(owners - {now}, key=lambda name: name or ""):
        there = (
            f"hand {named(entry)} to guest {owner}"
            if owner
            else f"leave {named(entry)} to the host"
        )
        said = fixed(f"{there} instead of {f'guest {now}' if now else 'the host'}")
        yield taken_back(entry, "guest", said, guest=owner)


WISHES: dict[str, Callable[[Problem, Entry], Iterator[Change]]] = {
    "place": place,
    "near": near,
    "machine": machine,
    "lanes": lanes,
    "guest": guest,
    "endpoints": endpoints,
}


def taken_back(entry: Entry, kind: str, words: Wording, **changed: Any) -> Change:
    """The change that a wish is taken back."""
    made = partial(with_wishes, entry, changed)
    return single(kind, named(entry), Option(words, made))


def with_wishes(entry: Entry, changed: dict[str, Any], problem: Problem) -> Problem:
    """The problem with other wishes for all parts of an entry."""
    for part in entry:
        problem = with_wish(problem, part.id, **changed)
    return problem


FEW = 12
"""Up to so many like parts every number of them is tried."""

STEPS = (16, 24, 32, 48, 64, 96)
"""Beyond, these numbers and all of them."""


def parts_less(case: Case, surplus: Mapping[str, int]) -> Iterator[Change]:
    """Required parts left out, with what can only sit on them; of like ones so many at a time."""
    first = first_alike(case.problem)
    for name in dict.fromkeys(first[part.id] for part in bodies(case.problem)):
        like = [other for other, one in first.items() if one == name]
        if case.problem.part[name].wish.required:
            least = surplus.get(name, 1)
            for number in numbers(len(like), least):
                yield from left_out(case, sorted(like, key=natural), number, least)


def numbers(most: int, least: int) -> list[int]:
    """
    How many of so many like parts to try without; not every number where there are many.

    Of fewer than `least` it is known that they do not do.
    """
    few = range(least, min(most, FEW) + 1)
    return [*few, *sorted({*STEPS, least, most} & set(range(max(least, FEW + 1), most + 1)))]


def left_out(case: Case, like: Sequence[str], number: int, least: int) -> Iterator[Change]:
    """So many of some like parts left out."""
    gone_first = like[:number]
    every = {part.id for part in bodies(case.problem)}
    riders = [name for name in only_on(case, gone_first) if name in every]
    names = [*gone_first, *riders]
    if untouched(case.problem, "leave-out", *like, *riders):
        return
    text = "leave out " + which(like, number, least)
    if riders:
        text += f", and with {'it' if number == 1 else 'them'} {listed(riders)}"
    option = Option(fixed(text), partial(left_behind, names))
    asks = partial(left_without, names)
    yield replace(single("leave-out", like[0], option, nearness=(number,)), asks=asks)


def which(like: Sequence[str], number: int, least: int) -> str:
    """`hba`, `one of drive-1 to drive-4`, `drive-1 to drive-4`."""
    if number == len(like):
        return listed(like)
    fewer = "" if number <= max(FEW, least) else " (fewer may do)"
    return f"{'one' if number == 1 else number} of {listed(like)}{fewer}"


def left_without(names: Collection[str], problem: Problem) -> Problem:
    """The problem without them."""
    return without(problem, names)


def left_behind(names: Collection[str], problem: Problem) -> Problem:
    """The problem in which they leave."""
    return leaving(problem, names)


def typical_figures(problem: Problem) -> Iterator[Change]:
    """Each kind of part of which a figure varies, held to what is typical of its class."""
    for kind, spec in {part.spec.id: part.spec for part in problem.parts}.items():
        said = {name: figure for _, name, figure in spreads(spec)}
        parts = [part.id for part in problem.parts if part.spec.id == kind]
        if said and not untouched(problem, "typical", *parts):
            fields = [*said, *([""] if len(said) > 1 else [])]
            find = partial(held_to_typical, kind, said, fields)
            label = f"hold {kind} to what is typical of its class"
            yield Change("typical", kind, label, find, partial(made_typical, kind, ""))


def held_to_typical(
    kind: str, said: Mapping[str, Spread], fields: Sequence[str]
) -> tuple[Option, ...]:
    """One figure after the other, then all of them (empty)."""
    new = f"slotfit new part --from {kind}"
    return tuple(
        Option(
            fixed(f"see in the data sheet that {kind} is typical: {typical_words(said, field)}"),
            partial(made_typical, kind, field),
            mind=f"until you have read it this is a hope; then describe yours: {new}",
        )
        for field in fields
    )


def typical_words(said: Mapping[str, Spread], field: str) -> str:
    """`slot_w 12 W, not 16 W`."""
    return listed(
        f"{name} {figure.typical:g} {unit_named(name)}, not {figure:g}"
        for name, figure in said.items()
        if field in ("", name)
    )


def made_typical(kind: str, field: str, problem: Problem) -> Problem:
    """The problem with what is typical of that kind."""
    return with_typical(problem, kind, field)


def groups_dissolved(problem: Problem) -> Iterator[Change]:
    """Each group of parts that are to be together, or apart."""
    for field, groups in (("together", problem.together), ("apart", problem.apart)):
        for group in groups:
            if not untouched(problem, "group", *group.parts):
                yield dissolved(field, group)


def dissolved(field: str, group: Group) -> Change:
    """One group less."""
    scope = group.by.replace("-", " ")
    names = listed(group.parts)
    text = (
        f"let {names} be on different {scope}s"
        if field == "together"
        else f"let {names} share a {scope}"
    )
    return single("group", names, Option(fixed(text), partial(without_group, field, group)))


def without_group(field: str, group: Group, problem: Problem) -> Problem:
    """The problem without that group."""
    kept = tuple(one for one in getattr(problem, field) if one != group)
    return replace(problem, together=kept) if field == "together" else replace(problem, apart=kept)
