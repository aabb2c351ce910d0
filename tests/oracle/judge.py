"""Every plan of a build, one by one: is it allowed, what does it cost, which is best."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product

from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.standards.forms import plug_fits
from tests.oracle.alone import Word, both_ends, drowned, look, two_speeds
from tests.oracle.cost import costs
from tests.oracle.spot import (
    Spot,
    as_built,
    as_fed,
    group_at,
    on_board,
    on_part,
    screwed_down,
)
from tests.oracle.watts import unknown
from tests.oracle.whole import Placed, in_company, look_at_all, whose_bays

DEEPEST = 7
"""Parts stacked on one another, at most: more than anyone has."""

Chain = tuple[tuple[str, str], ...]
"""(part, receptacle) from a part down to the board."""


@dataclass(frozen=True)
class Choice:
    """One plan: where each placed part is, and how each lane group (`machine/group`) is divided."""

    places: Mapping[str, str]
    ways: Mapping[str, str]


def choice_of(plan: Plan) -> Choice:
    """A plan as the judge looks at it."""
    ways = {str(group): way for group, way in plan.arrangements.items()}
    return Choice({seat.part: seat.receptacle for seat in plan.seats}, ways)


@dataclass(frozen=True)
class Best:
    """What is best of all plans."""

    cost: tuple[int, ...] | None
    """In the build's own order of preferences; None if no plan is allowed."""
    choices: tuple[Choice, ...]
    """Every plan of that cost."""
    bites: frozenset[str]
    """Complaints but for which there would be a better plan, or one at all."""
    looked_at: int


@dataclass
class Judge:
    """Judges plans of one build; remembers what it said of a part in a place."""

    problem: Problem
    known: dict[tuple[Chain, str | None], tuple[Spot, tuple[Word, ...]]] = field(
        default_factory=dict
    )

    def __post_init__(self) -> None:
        self.parts: dict[str, Part] = {part.id: part for part in self.problem.parts}
        self.receptacles: dict[str, Receptacle] = {one.id: one for one in self.problem.receptacles}
        self.machines = {machine.id: machine for machine in self.problem.machines}
        self.serving = set(self.can_be_sat_on())

    def chain(self, part: str, places: Mapping[str, str]) -> Chain | None:
        """The parts below, down to a board; None if there is no way down."""
        found: list[tuple[str, str]] = []
        while True:
            if part not in places or len(found) == DEEPEST:
                return None
            receptacle = self.receptacles[places[part]]
            found.append((part, receptacle.id))
            if receptacle.on_board:
                return tuple(found)
            part = receptacle.owner

    def sit(self, chain: Chain, ways: Mapping[str, str]) -> tuple[Spot, tuple[Word, ...]]:
        """What a part finds at the top of a chain, and what is to be said of it there."""
        root = self.receptacles[chain[-1][1]]
        group = group_at(self.machines[root.owner], root.spec.id)
        way = ways[f"{root.owner}/{group.id}"] if group else None
        if (chain, way) not in self.known:
            part, receptacle = self.parts[chain[0][0]], self.receptacles[chain[0][1]]
            if len(chain) == 1:
                spot = on_board(self.problem, receptacle, way)
            else:
                below, _ = self.sit(chain[1:], ways)
                spot = on_part(self.parts[receptacle.owner], receptacle, below)
            spot = drowned(part, spot, self.parts)
            words = tuple(look(screwed_down(part, spot), spot, self.parts))
            if words[:1] != ("form",):
                words += tuple(unknown(screwed_down(part, spot), self.problem, spot.machine))
                words += tuple(two_speeds(part, self.problem.outside))
                words += tuple(whose_bays(part, self.problem, spot.machine))
                words += tuple(both_ends(part, self.parts))
            self.known[chain, way] = spot, words
        return self.known[chain, way]

    def judge(self, choice: Choice) -> tuple[tuple[str, ...], dict[str, int]]:
        """Complaints, and the costs in every preference."""
        complaints: list[str] = []
        facts: set[object] = set()
        spots: dict[str, Spot] = {}
        for part in choice.places:
            chain = self.chain(part, choice.places)
            if chain is None:
                return ("hangs in the air",), {}
            spots[part], words = self.sit(chain, choice.ways)
            complaints += (word for word in words if isinstance(word, str))
            facts.update(word for word in words if not isinstance(word, str))
        plan = Placed(self.problem, as_fed(self.parts, spots), spots, choice.ways)
        facts = in_company(plan, facts)
        complaints += look_at_all(plan)
        if complaints:
            return tuple(complaints), {}
        return (), costs(plan, facts, self.serving)

    def price(self, choice: Choice) -> tuple[int, ...]:
        """The costs of a plan without regard to complaints, in the build's order."""
        spots: dict[str, Spot] = {}
        facts: set[object] = set()
        for part in choice.places:
            chain = self.chain(part, choice.places)
            assert chain is not None
            spots[part], words = self.sit(chain, choice.ways)
            facts.update(word for word in words if not isinstance(word, str))
        plan = Placed(self.problem, as_fed(self.parts, spots), spots, choice.ways)
        facts = in_company(plan, facts)
        worth = costs(plan, facts, self.serving)
        return tuple(worth[stage] for stage in self.problem.preferences)

    def every_choice(self) -> Iterator[Choice]:
        """Every plan in which plugs fit and nothing shares a receptacle."""
        groups = {
            f"{machine.id}/{group.id}": [
                str(way.id) for way in as_built(machine, group).arrangements
            ]
            for machine in self.problem.machines
            for group in machine.board.lane_groups
        }
        every_way = [dict(zip(groups, ways, strict=True)) for ways in product(*groups.values())]
        for places in self.every_place(list(self.problem.parts), {}):
            for ways in every_way:
                yield Choice(places, ways)

    def every_place(self, parts: list[Part], taken: dict[str, str]) -> Iterator[dict[str, str]]:
        """Every way to place the parts, `taken` being done."""
        if not parts:
            yield dict(taken)
            return
        first, rest = parts[0], parts[1:]
        if not (first.wish.required or first.asked_of):
            yield from self.every_place(rest, taken)
        for receptacle in self.receptacles.values():
            if receptacle.id not in taken.values() and plug_fits(
                first.spec.plug.form, receptacle.spec.form
            ):
                yield from self.every_place(rest, {**taken, first.id: receptacle.id})

    def can_be_sat_on(self) -> Iterator[str]:
        """Parts on which another part of the build fits by its form, be it through a cable."""
        onto: dict[str, set[str]] = {name: set() for name in self.parts}
        for receptacle in self.receptacles.values():
            if not receptacle.on_board:
                onto[receptacle.owner] |= {
                    part.id
                    for part in self.parts.values()
                    if plug_fits(part.spec.plug.form, receptacle.spec.form)
                }
        for name in onto:
            reached, waiting = {name}, [name]
            while waiting:
                new = onto[waiting.pop()] - reached
                reached |= new
                waiting += [one for one in new if self.only_passes_on(self.parts[one])]
            own = self.parts[name].companion_of or name
            others = [self.parts[one] for one in reached if not self.same_part(one, own)]
            if not all(self.only_passes_on(part) for part in others):
                yield name

    def same_part(self, part: str, body: str) -> bool:
        """Whether the part is the part itself or one of its further plugs."""
        return body in (part, self.parts[part].companion_of)

    def only_passes_on(self, part: Part) -> bool:
        """Cables and passive carriers."""
        passes = [
            one for one in part.spec.receptacles if one.form not in ("cooling-mount", "fan-header")
        ]
        return bool(passes) and part.spec.wiring == "passive"


def best(problem: Problem) -> Best:
    """Look at every plan and keep the best ones."""
    judge = Judge(problem)
    cost: tuple[int, ...] | None = None
    choices: list[Choice] = []
    but_for: dict[str, list[Choice]] = {}
    looked_at = 0
    for choice in judge.every_choice():
        looked_at += 1
        complaints, worth = judge.judge(choice)
        if complaints:
            if len(set(complaints)) == 1 and complaints[0] != "hangs in the air":
                but_for.setdefault(complaints[0], []).append(choice)
            continue
        price = tuple(worth[stage] for stage in problem.preferences)
        if cost is None or price < cost:
            cost, choices = price, []
        if price == cost:
            choices.append(choice)
    bites = {
        word
        for word, barred in but_for.items()
        if cost is None or any(judge.price(choice) < cost for choice in barred)
    }
    return Best(cost, tuple(choices), frozenset(bites), looked_at)
