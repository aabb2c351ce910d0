"""CAB009: cable whose two ends do not agree."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from slotfit.model.part import PartSpec
from slotfit.model.ports import Port, PortEnd
from slotfit.model.problem import Part
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cages import CAGES, goes_into


@dataclass(frozen=True)
class CableEnd:
    """One port of a cable between two parts of the build, and what is in it."""

    part: Part
    port: Port
    by: PartSpec | None

    @property
    def name(self) -> str:
        """`nic/p1`."""
        return f"{self.part.id}/{self.port.id}"

    @property
    def gb_s(self) -> frozenset[float] | None:
        """Rates that the port and what is in it know; None if nobody has said."""
        said = [frozenset(one.gb_s) for one in (self.port, self.by) if one and one.gb_s]
        return frozenset.intersection(*said) if said else None

    @property
    def medium(self) -> str | None:
        """What it sends over; None if nobody has said."""
        if self.by is not None:
            return self.by.medium
        is_jack = self.port.cage is not None and CAGES[self.port.cage].most_m is not None
        return "twisted-pair" if is_jack else None

    @property
    def fact(self) -> Cited:
        """Where it is told."""
        return Cited("kind", self.part.spec.id, self.part.spec, "ports")


def judge(trial: Trial) -> Iterator[Verdict]:
    """Each cable from a port of the part to a port of another."""
    for name, plugged in trial.part.wish.ends.items():
        other, slash, port = plugged.to.partition("/")
        far = trial.problem.part.get(other) if slash else None
        if far is not None:
            yield from between(end_of(trial.part, name, plugged), far_end(far, port))


def end_of(part: Part, name: str, plugged: PortEnd | None) -> CableEnd:
    """A port of a part with what is in it, as far as anyone has said."""
    port = part.spec.port.get(name, Port(id=name))
    return CableEnd(part, port, plugged.by if plugged else None)


def far_end(part: Part, name: str) -> CableEnd:
    """The port that the cable leads to."""
    return end_of(part, name, part.wish.ends.get(name))


def between(one: CableEnd, other: CableEnd) -> Iterator[Verdict]:
    """What speaks against the cable: a rate, what they send over, the plug of a ready cable."""
    refused = list(objections(one, other))
    names = dict(zip(("one", "other"), sorted((one.name, other.name)), strict=True))
    if refused and other.part.wish.required:
        case, values = refused[0]
        yield RULE.no(case, names, (one.fact, other.fact), **values)
    elif refused or not (is_rate_known(one, other) and is_medium_known(one, other)):
        yield RULE.doubt("agree", names, (one.fact,))


def objections(one: CableEnd, other: CableEnd) -> Iterator[tuple[str, dict[str, Any]]]:
    """Everything that is known to be at odds."""
    if one.gb_s and other.gb_s and not one.gb_s & other.gb_s:
        yield "rate", {"rates": tuple(sorted(one.gb_s)), "others": tuple(sorted(other.gb_s))}
    if one.medium and other.medium and one.medium != other.medium and not is_whole(one, other):
        yield "medium", {"medium": one.medium, "over": other.medium}
    cable = one.by if one.by and one.medium == "twinax" else None
    if cable and other.port.cage and not goes_into(cable.plug.form, other.port.cage):
        yield "plug", {"cable": cable.id, "cage": CAGES[other.port.cage].title}


def is_whole(one: CableEnd, other: CableEnd) -> bool:
    """Whether it is a cable with both plugs on, named at one end, which the other end takes."""
    return (one.medium == "twinax") != (other.medium == "twinax") and None in (one.by, other.by)


def is_rate_known(one: CableEnd, other: CableEnd) -> bool:
    """Whether both ends' rates are told; two cages alike were made for one."""
    alike = one.port.cage is not None and one.port.cage == other.port.cage
    return alike or (one.gb_s is not None and other.gb_s is not None)


def is_medium_known(one: CableEnd, other: CableEnd) -> bool:
    """Whether both ends' media are told, or both hold the same; a ready cable is both ends."""
    if "twinax" in (one.medium, other.medium):
        return other.port.cage is not None and one.port.cage is not None
    same = one.by is not None and other.by is not None and one.by.id == other.by.id
    return same or (one.medium is not None and other.medium is not None)


def rates(gb_s: tuple[float, ...]) -> str:
    """`1.25 or 3.1 GB/s`."""
    return f"{' or '.join(f'{one:g}' for one in gb_s)} GB/s"


RULE = SeatRule(
    id="CAB009",
    title="cable whose two ends do not agree",
    why="Both ends of a network cable need a rate in common and send over one medium: a module for "
    "fibre hears no copper, and a cable with its plugs on goes into what takes those plugs.",
    source="IEEE 802.3, from memory",
    severity="darkens",
    says={
        "rate": Wording(
            "{one} and {other} are two ends of one cable and know no rate in common",
            "{rates}, and {others}",
            words={"rates": rates, "others": rates},
        ),
        "medium": Wording(
            "{one} and {other} are two ends of one cable and send over two media",
            "{medium}, and {over}",
        ),
        "plug": Wording(
            "{one} and {other} are two ends of {cable}, and one of them is a {cage}",
        ),
    },
    looks={
        "agree": Look(
            "{one} and {other}: one rate, one medium",
            "{one} and {other} know one rate and send over one medium",
            "data sheets of both ports and of what is plugged into them; list `ports` with `cage` "
            "and `gb_s`, name what is in each end with `by`, and in its file write `gb_s` and "
            "`medium`",
        )
    },
    judge=judge,
    counts_all=True,
)
