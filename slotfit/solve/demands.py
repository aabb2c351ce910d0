"""What must hold on the way: copies, services, mirrors; and what is missed meanwhile."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import chain as joined

from slotfit.model.seat import Seat
from slotfit.model.windows import CopyJob, MirrorJob, NeedMet, ServiceJob, Task
from slotfit.solve.chain import Chain, Layer, bound_home, negative, staying_values, stays_up
from slotfit.solve.engine import FAR, Clock, Manner, Result, Term
from slotfit.solve.frame import Frame
from slotfit.solve.prefer import shared


@dataclass
class Demands:
    """The variables that the demands of one chain are about."""

    chain: Chain
    copied: list[list[int]] = field(default_factory=list)
    """Copy -> for each stretch the variable "made here"."""
    up: dict[tuple[int, int, str], int] = field(default_factory=dict)
    """Service, stretch, machine -> variable "runs here"."""
    missed: list[Term] = field(default_factory=list)
    """Each stretch in which something is down, out or slow, up to a constant."""
    always_missed: int = 0
    """That constant."""

    @property
    def stretches(self) -> range:
        """All of them, the ends included."""
        return range(self.chain.windows + 1)

    @property
    def machines(self) -> list[str]:
        """Every machine."""
        return [machine.id for machine in self.chain.task.problem.machines]

    def all_of(self, sums: Sequence[Sequence[Term]], *, firm: bool = False) -> int:
        """A new variable that is only 1 where each of the sums is; `firm`: exactly there."""
        model = self.chain.model
        made = model.variable()
        for terms in sums:
            model.row([(made, 1), *negative(terms)], high=0)
        if firm:
            model.row([(made, 1), *negative(joined(*sums))], low=1 - len(sums))
        return made

    def running(self, stretch: int, parts: Iterable[str], machine: str) -> list[list[Term]]:
        """For each part a sum that is 1 where it runs in the machine."""
        return [self.chain.runs_in(stretch, part, machine) for part in parts]

    def made_by(self, copy: int, stretch: int) -> list[Term]:
        """1 where the copy is made in this stretch or in an earlier one."""
        return [(variable, 1) for variable in self.copied[copy][: stretch + 1]]


def demand_all(chain: Chain) -> Demands:
    """Post every demand of the task."""
    demands = Demands(chain)
    for copy in chain.task.copies:
        demand_copy(demands, copy)
    for number, service in enumerate(chain.task.services):
        demand_service(demands, number, service)
    for mirror in chain.task.mirrors:
        demand_mirror(demands, mirror)
    return demands


def demand_copy(demands: Demands, copy: CopyJob) -> None:
    """Once, in a stretch in which both ends run, and after the copies that it builds on."""
    model = demands.chain.model
    made = [model.variable() for _ in demands.stretches]
    demands.copied.append(made)
    model.row([(variable, 1) for variable in made], 1, 1)
    for stretch in demands.stretches:
        for before in copy.after:
            model.row([(made[stretch], 1), *negative(demands.made_by(before, stretch))], high=0)
        ends_reach(demands, made[stretch], stretch, copy)


def ends_reach(demands: Demands, made: int, stretch: int, copy: CopyJob) -> None:
    """The variable is only 1 where both ends of the copy run and reach one another."""
    ends = [copy.sources, copy.targets] if copy.network else [(*copy.sources, *copy.targets)]
    for parts in ends:
        homes = [end_in(demands, stretch, machine, parts, copy) for machine in demands.machines]
        demands.chain.model.row([(made, 1), *((home, -1) for home in homes)], high=0)


def end_in(
    demands: Demands, stretch: int, machine: str, parts: Iterable[str], copy: CopyJob
) -> int:
    """A variable that is only 1 where one end of a copy is in the machine, and can be reached."""
    runs = demands.running(stretch, parts, machine)
    if copy.through:
        runs.append([*joined(*demands.running(stretch, copy.through, machine))])
    return demands.all_of(runs)


def demand_service(demands: Demands, number: int, service: ServiceJob) -> None:
    """Up in all stretches between windows but a few, and cut off in agreed windows only."""
    model = demands.chain.model
    agreed = None if service.new else service.windows
    for stretch in demands.stretches[0 if agreed is not None else 1 : -1]:
        for machine in demands.machines:
            up = service_up(demands, service, stretch, machine, firm=agreed is not None)
            demands.up[number, stretch, machine] = up
    downs: list[Term] = []
    for stretch in demands.chain.between:
        ups = [(demands.up[number, stretch, machine], -1) for machine in demands.machines]
        downs.append((model.rise(1, [(ups, 1)]), 1))
    demands.missed += downs
    if not service.new:
        model.row(downs, high=service.may_be_down)
    for window in range(1, demands.chain.windows + 1):
        if agreed is not None and window not in agreed:
            keep_up(demands, number, window)


def service_up(
    demands: Demands, service: ServiceJob, stretch: int, machine: str, *, firm: bool
) -> int:
    """A variable that is only 1 where the service runs in the machine; `firm`: exactly there."""
    needs = [need_met(demands, stretch, machine, need, firm=firm) for need in service.needs]
    return demands.all_of(needs, firm=firm)


def keep_up(demands: Demands, number: int, window: int) -> None:
    """A service that runs before the window runs in some machine that stays on."""
    model, off = demands.chain.model, demands.chain.off[window - 1]
    ups = [demands.up[number, window - 1, machine] for machine in demands.machines]
    stays: list[Term] = []
    for up, machine in zip(ups, demands.machines, strict=True):
        stay = model.variable()
        model.row([(stay, 1), (up, -1)], high=0)
        model.row([(stay, 1), (off[machine], 1)], high=1)
        stays.append((stay, 1))
    for up in ups:
        model.row([(up, 1), *negative(stays)], high=0)


def need_met(
    demands: Demands, stretch: int, machine: str, choices: Sequence[NeedMet], *, firm: bool
) -> list[Term]:
    """A sum that is 0 where no choice runs in the machine; `firm`: and only there."""
    model, found = demands.chain.model, []
    for choice in choices:
        runs = demands.running(stretch, choice.items, machine)
        if choice.copy is not None:
            runs.append(demands.made_by(choice.copy, stretch))
        if len(runs) == 1 and len(choices) == 1:
            return runs[0]
        found.append((demands.all_of(runs, firm=firm), 1))
    if not firm or len(found) == 1:
        return found
    one_of_them = model.variable()
    model.row([(one_of_them, 1), *negative(found)], high=0)
    for choice_met in found:
        model.row([(one_of_them, 1), *negative([choice_met])], low=0)
    return [(one_of_them, 1)]


def demand_mirror(demands: Demands, mirror: MirrorJob) -> None:
    """
    Enough members run in one machine in every stretch, the same ones before and after each window.

    A member that was out comes back with old data, and is as good as the others only a stretch
    later; one in another machine than the rest is out as well.
    """
    model = demands.chain.model
    here = [members_at_home(demands, stretch, mirror) for stretch in demands.stretches]
    for window in range(1, demands.chain.windows + 1):
        stays = [
            (demands.all_of(both), 1) for both in zip(here[window - 1], here[window], strict=True)
        ]
        model.row([*stays, *released(demands, mirror, window - 1, mirror.keep)], low=mirror.keep)
    for stretch in demands.chain.between:
        free = negative(released(demands, mirror, stretch - 1, 1))
        sums = [([*free, *negative(member)], 1) for member in here[stretch]]
        demands.missed.append((model.rise(1, sums), 1))


def members_at_home(demands: Demands, stretch: int, mirror: MirrorJob) -> list[list[Term]]:
    """For each member a sum that is only 1 where all its parts run in the mirror's machine."""
    model = demands.chain.model
    bound = bound_home(demands.chain.task, mirror)
    homes = {m: model.variable(high=int(bound in (None, m))) for m in demands.machines}
    model.row([(home, 1) for home in homes.values()], high=1)
    return [
        [
            (demands.all_of([[(home, 1)], *demands.running(stretch, parts, machine)]), 1)
            for machine, home in homes.items()
        ]
        for parts in mirror.members
    ]


def released(demands: Demands, mirror: MirrorJob, stretch: int, weight: int) -> list[Term]:
    """`weight` or more where a copy of the mirror's data is made by the end of the stretch."""
    made = [term for copy in mirror.released_by for term in demands.made_by(copy, stretch)]
    return [(variable, one * weight) for variable, one in made]


def miss_all(demands: Demands) -> None:
    """What is missed beside services and mirrors."""
    for stretch in demands.chain.between:
        miss_steady(demands, stretch)
        miss_shared(demands, stretch)


def miss_steady(demands: Demands, stretch: int) -> None:
    """Each part that stays is missed where it has no seat as good as today's or the goal's."""
    chain = demands.chain
    layer, task = chain.layer, chain.task
    for part in task.steady:
        ends = [task.today.seat_of[part], task.goal.seat_of[part]]
        worst = max(short_at(layer, seat) for seat in ends)
        good = [
            variable
            for found in layer.in_machine[part].values()
            for variable in found
            if short_at(layer, layer.seats[variable][0]) <= worst
        ]
        demands.missed += negative(chain.terms_in(stretch, good))
        demands.always_missed += 1


def short_at(layer: Layer, seat: Seat) -> int:
    """MB/s that the part's own links lack, where it moves all that it may."""
    return layer.worth[seat.key].of("bandwidth").short


def miss_shared(demands: Demands, stretch: int) -> None:
    """Missed where shared links lose more than they do today and at the goal."""
    chain = demands.chain
    layer, task, model = chain.layer, chain.task, chain.model
    base = chain.base[stretch]
    x = {key: None if v is None else v + base for key, v in layer.number.items()}
    frame = Frame(task.problem, task.seating, model, x, dict(layer.worth))
    lost = [term for way in (0, 1) for term in shared(frame, "bandwidth", way)]
    if not lost:
        return
    most = model.range_of(lost)[1]
    slow = model.variable()
    model.row([*lost, (slow, -most)], -FAR, task.usual_loss_mb_s)
    demands.missed.append((slow, 1))


def is_never_copied(layer: Layer, clock: Clock) -> bool:
    """Whether the ends of some copy run together in no layout there may be."""
    for number, copy in enumerate(layer.task.copies):
        if not perhaps_at_the_goal(layer.task, copy):
            demands = any_layout(layer)
            made = demands.copied[number][0]
            demands.chain.model.row([(made, 1)], 1)
            ends_reach(demands, made, 0, copy)
            if clock.solve(demands.chain.model, Manner.LISTING).result is Result.INFEASIBLE:
                return True
    return False


def perhaps_at_the_goal(task: Task, copy: CopyJob) -> bool:
    """
    Whether it may be made last, when services need not run any longer.

    What has no place at the goal runs then in a retired machine, if at all.
    """
    homes = {task.goal.machine(part) for part in (*copy.sources, *copy.targets)}
    if None in homes and not task.retired:
        return False
    return copy.network or len(homes) < 2


def any_layout(layer: Layer) -> Demands:
    """One layout with the services up that always are; any copies may have been made."""
    chain = Chain(layer, 0)
    chain.base.append(layer.stamp(chain.model, staying_values(layer)))
    demands = Demands(chain)
    demands.copied = [[chain.model.variable()] for _ in layer.task.copies]
    for service in layer.task.services:
        if stays_up(service):
            ups = [service_up(demands, service, 0, m, firm=False) for m in demands.machines]
            chain.model.row([(up, 1) for up in ups], 1)
    return demands
