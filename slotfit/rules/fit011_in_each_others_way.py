"""FIT011: receptacles in each other's way."""

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem, Site
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """At most one of two receptacles that block each other."""
    for site, rival in rivals(problem):
        seats = [*seating.by_site.get(site.id, []), *seating.by_site.get(rival.id, [])]
        if len({seat.site for seat in seats}) == 2:
            names = {"receptacle": site.id, "rival": rival.id}
            facts = (Cited("receptacle", site.id, site.receptacle, "blocked_by"),)
            reason = RULE.no("blocked", names, facts)
            yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "parts")


def rivals(problem: Problem) -> Iterator[tuple[Site, Site]]:
    """Each pair once."""
    sites = {(site.owner, site.receptacle.id): site for site in problem.sites if site.on_board}
    told: set[frozenset[str]] = set()
    for site in sites.values():
        blocked = site.receptacle.blocked_by if isinstance(site.receptacle, BoardReceptacle) else ()
        for name in blocked:
            rival = sites[site.owner, name]
            if (pair := frozenset((site.id, rival.id))) not in told:
                told.add(pair)
                yield site, rival


RULE = PlanRule(
    id="FIT011",
    title="receptacles in each other's way",
    why="Some receptacles cannot be used together for want of room: a card lies over a socket.",
    source="board file, `blocked_by`",
    says={"blocked": Wording("{receptacle} and {rival} are in each other's way")},
    state=state,
)
