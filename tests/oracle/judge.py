"""Every plan of a build, one by one: is it allowed, what does it cost, which is best."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product

from slotfit.model.problem import Item, Problem, Site
from slotfit.standards.forms import plug_fits
from tests.oracle.alone import Word, look
from tests.oracle.cost import costs
from tests.oracle.spot import Spot, group_at, on_board, on_part
from tests.oracle.whole import Placed, in_company, look_at_all

DEEPEST = 7
"""Parts stacked on one another, at most: more than anyone has."""

Chain = tuple[tuple[str, str], ...]
"""(item, site) from a part down to the board."""


@dataclass(frozen=True)
class Choice:
    """One plan: where each placed item is, and how each lane group (`machine/group`) is divided."""

    places: Mapping[str, str]
    ways: Mapping[str, str]


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
        self.items: dict[str, Item] = {item.id: item for item in self.problem.items}
        self.sites: dict[str, Site] = {site.id: site for site in self.problem.sites}
        self.rigs = {rig.id: rig for rig in self.problem.rigs}
        self.serving = set(self.can_be_sat_on())

    def chain(self, item: str, places: Mapping[str, str]) -> Chain | None:
        """The parts below, down to a board; None if there is no way down."""
        found: list[tuple[str, str]] = []
        while True:
            if item not in places or len(found) == DEEPEST:
                return None
            site = self.sites[places[item]]
            found.append((item, site.id))
            if site.on_board:
                return tuple(found)
            item = site.owner

    def sit(self, chain: Chain, ways: Mapping[str, str]) -> tuple[Spot, tuple[Word, ...]]:
        """What a part finds at the top of a chain, and what is to be said of it there."""
        root = self.sites[chain[-1][1]]
        group = group_at(self.rigs[root.owner], root.receptacle.id)
        way = ways[f"{root.owner}/{group.id}"] if group else None
        if (chain, way) not in self.known:
            item, site = self.items[chain[0][0]], self.sites[chain[0][1]]
            if len(chain) == 1:
                spot = on_board(self.problem, site, way)
            else:
                below, _ = self.sit(chain[1:], ways)
                spot = on_part(self.items[site.owner], site, below)
            self.known[chain, way] = spot, tuple(look(item, spot, self.items))
        return self.known[chain, way]

    def judge(self, choice: Choice) -> tuple[tuple[str, ...], dict[str, int]]:
        """Complaints, and the costs in every preference."""
        complaints: list[str] = []
        facts: set[object] = set()
        spots: dict[str, Spot] = {}
        for item in choice.places:
            chain = self.chain(item, choice.places)
            if chain is None:
                return ("hangs in the air",), {}
            spots[item], words = self.sit(chain, choice.ways)
            complaints += (word for word in words if isinstance(word, str))
            facts.update(word for word in words if not isinstance(word, str))
        plan = Placed(self.problem, self.items, spots, choice.ways)
        facts = in_company(plan, facts)
        complaints += look_at_all(plan)
        if complaints:
            return tuple(complaints), {}
        return (), costs(plan, facts, self.serving)

    def price(self, choice: Choice) -> tuple[int, ...]:
        """The costs of a plan without regard to complaints, in the build's order."""
        spots: dict[str, Spot] = {}
        facts: set[object] = set()
        for item in choice.places:
            chain = self.chain(item, choice.places)
            assert chain is not None
            spots[item], words = self.sit(chain, choice.ways)
            facts.update(word for word in words if not isinstance(word, str))
        plan = Placed(self.problem, self.items, spots, choice.ways)
        facts = in_company(plan, facts)
        worth = costs(plan, facts, self.serving)
        return tuple(worth[stage] for stage in self.problem.preferences)

    def every_choice(self) -> Iterator[Choice]:
        """Every plan in which plugs fit and nothing shares a receptacle."""
        groups = {
            f"{rig.id}/{group.id}": [str(way.id) for way in group.arrangements]
            for rig in self.problem.rigs
            for group in rig.board.lane_groups
        }
        every_way = [dict(zip(groups, ways, strict=True)) for ways in product(*groups.values())]
        for places in self.every_place(list(self.problem.items), {}):
            for ways in every_way:
                yield Choice(places, ways)

    def every_place(self, items: list[Item], taken: dict[str, str]) -> Iterator[dict[str, str]]:
        """Every way to place the items, `taken` being done."""
        if not items:
            yield dict(taken)
            return
        first, rest = items[0], items[1:]
        if not first.wish.required:
            yield from self.every_place(rest, taken)
        for site in self.sites.values():
            if site.id not in taken.values() and plug_fits(
                first.part.plug.form, site.receptacle.form
            ):
                yield from self.every_place(rest, {**taken, first.id: site.id})

    def can_be_sat_on(self) -> Iterator[str]:
        """Items on which another part of the build fits by its form, be it through a cable."""
        onto: dict[str, set[str]] = {name: set() for name in self.items}
        for site in self.sites.values():
            if not site.on_board:
                onto[site.owner] |= {
                    item.id
                    for item in self.items.values()
                    if plug_fits(item.part.plug.form, site.receptacle.form)
                }
        for name in onto:
            reached, waiting = {name}, [name]
            while waiting:
                new = onto[waiting.pop()] - reached
                reached |= new
                waiting += [one for one in new if self.only_passes_on(self.items[one])]
            own = self.items[name].companion_of or name
            others = [self.items[one] for one in reached if not self.same_part(one, own)]
            if not all(self.only_passes_on(item) for item in others):
                yield name

    def same_part(self, item: str, body: str) -> bool:
        """Whether the item is the part itself or one of its further plugs."""
        return body in (item, self.items[item].companion_of)

    def only_passes_on(self, item: Item) -> bool:
        """Cables and passive carriers."""
        passes = [one for one in item.part.receptacles if one.form != "cooling-mount"]
        return bool(passes) and item.part.wiring == "passive"


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
