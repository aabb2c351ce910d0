"""What slotfit can do, as functions; the command line only parses, calls and prints."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, get_args

from slotfit.errors import InputError, InternalError, Mistake
from slotfit.hardware_rules import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.model.words import Stage
from slotfit.seating.seats import MANY_SEATS, seat_all

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from slotfit.check.answer import Answer as CheckAnswer
    from slotfit.check.carriers import Slot
    from slotfit.check.other_parts import Shelf
    from slotfit.check.question import Question
    from slotfit.explain.shop import Shop
    from slotfit.explain.told import EqualPlans, Explanation, IfFalse, Otherwise
    from slotfit.model.clause import Clause
    from slotfit.model.part import Part
    from slotfit.model.placed import Placed
    from slotfit.model.plan import Answer
    from slotfit.sequence.plan import Sequenced
    from slotfit.sequence.pull_first import PullFirst

Progress = Callable[[str, int, int], None]


def seats(problem: Problem) -> Seating:
    """Every possible seat; of very many, those are left out that only swap parts alike."""
    from slotfit.rulebook import SEAT_RULES  # noqa: PLC0415 - nobody's wishes are asked by `check`

    return seat_all(problem, SEAT_RULES, MANY_SEATS)


def state_all(
    problem: Problem, seating: Seating | None = None
) -> tuple[Seating, tuple[Clause, ...]]:
    """Every possible seat (see `seats`), or those given, and every clause that couples them."""
    from slotfit.rulebook import PLAN_RULES  # noqa: PLC0415

    seating = seating or seats(problem)
    clauses = tuple(c for rule in PLAN_RULES for c in rule.state(problem, seating))
    return seating, clauses


def preferring(problem: Problem, stages: str) -> Problem:
    """The same problem with its preferences in another order. Raises InputError."""
    wanted = [stage.strip() for stage in stages.split(",") if stage.strip()]
    known: tuple[Stage, ...] = get_args(Stage)
    wrong = [stage for stage in wanted if stage not in known]
    if wrong or len(set(wanted)) < len(wanted):
        text = f"{', '.join(wrong) or 'a preference'} is not known or named twice"
        raise InputError([Mistake("--prefer", "", f"{text}; expected some of {', '.join(known)}")])
    order = tuple(sorted((s for s in known if s in wanted), key=wanted.index))
    return replace(problem, preferences=order)


def place(
    problem: Problem,
    seconds: float = 60.0,
    progress: Progress | None = None,
    seating: Seating | None = None,
) -> Placed:
    """
    The best plan, checked by the referee. Raises InternalError if the two disagree.

    `seating`: only these seats; left out, all that the rules allow.
    """
    from slotfit.model.placed import Placed  # noqa: PLC0415 - not needed to check
    from slotfit.solve.place import place as solve_it  # noqa: PLC0415 - loads OR-Tools
    from slotfit.solve.place import silent  # noqa: PLC0415

    seating, clauses = state_all(problem, seating)
    answer = solve_it(problem, seating, clauses, seconds, progress or silent)
    return refereed(Placed(problem, seating, clauses, answer))


def refereed(placed: Placed) -> Placed:
    """The same, once the referee has found nothing wrong. Raises InternalError if it has."""
    from slotfit.referee import faults  # noqa: PLC0415 - not needed to check
    from slotfit.rulebook import SEAT_RULES  # noqa: PLC0415

    plan = placed.answer.plan
    if plan:
        wrong = list(faults(placed.problem, plan, placed.clauses, SEAT_RULES))
        if wrong:
            raise InternalError("solver and referee disagree: " + "; ".join(wrong))
    return placed


def explain(
    problem: Problem,
    shop: Shop | None = None,
    seconds: float = 60.0,
    ways: int = 4,
    progress: Progress | None = None,
) -> Explanation:
    """
    Why a problem has no plan, and up to `ways` ways out, each placed.

    `shop` has what could be bought; without it nothing is.
    """
    from slotfit.explain.explain import explain as explain_it  # noqa: PLC0415 - loads OR-Tools
    from slotfit.solve.clock import Clock  # noqa: PLC0415
    from slotfit.solve.place import silent  # noqa: PLC0415

    return explain_it(problem, place, shop, Clock(seconds), progress or silent, ways)


def equally_good(placed: Placed, at_most: int, seconds: float = 60.0) -> EqualPlans | None:
    """What up to `at_most` plans as good as the one found have in common; None without a plan."""
    from slotfit.explain.equal_plans import equal_plans  # noqa: PLC0415 - loads OR-Tools
    from slotfit.solve.clock import Clock  # noqa: PLC0415

    return equal_plans(placed, at_most, Clock(seconds))


def elsewhere(placed: Placed, item: str, seconds: float = 60.0) -> Otherwise | None:
    """The best plan in which a part is not where the plan has it; None if that has it nowhere."""
    from slotfit.explain.otherwise import elsewhere as place_elsewhere  # noqa: PLC0415

    return place_elsewhere(placed, item, partial(place, seconds=seconds))


def if_false(placed: Placed, seconds: float = 60.0) -> Iterator[IfFalse]:
    """Each fact the plan rests on, with the best plan without it; `seconds` for all of them."""
    from slotfit.explain.otherwise import if_false as place_without  # noqa: PLC0415
    from slotfit.solve.clock import Clock  # noqa: PLC0415

    clock = Clock(seconds)

    def in_time(problem: Problem, *, seating: Seating | None = None) -> Placed:
        return place(problem, clock.left, seating=seating)

    return place_without(placed, in_time)


def carriers(questions: Iterable[Question]) -> tuple[Slot, ...]:
    """The kinds of carrier that show something in each receptacle; one question a carrier."""
    from slotfit.check.carriers import by_slot  # noqa: PLC0415 - not needed to place

    return by_slot(questions, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)


def check(question: Question, shelf: Shelf | None = None) -> CheckAnswer:
    """
    A verdict for every receptacle the question names, and what would make the part work.

    `shelf` finds parts of the catalog to offer instead; without it none are.
    """
    from slotfit.check.all_sites import verdicts  # noqa: PLC0415 - not needed to place
    from slotfit.check.answer import Answer as CheckAnswer  # noqa: PLC0415
    from slotfit.check.bench import Bench  # noqa: PLC0415

    bench = Bench(question, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)
    answer = CheckAnswer(question, verdicts(bench))
    if answer.good:
        return answer
    from slotfit.check.advice import advice  # noqa: PLC0415 - only where something is wrong

    return answer._replace(advice=tuple(advice(bench, answer.verdicts, shelf)))


def sequence(
    problem: Problem,
    shop: Shop | None = None,
    seconds: float = 60.0,
    progress: Progress | None = None,
    goal: Answer | None = None,
) -> Sequenced:
    """
    The fewest windows from today's layout to the plan, checked by their own referee.

    `shop` has carriers that could be borrowed where there is no way; without it only the build's
    own kinds count. `goal`: what `place` answered to `goal_of` the problem, if that was asked
    already. Raises InputError if the file contradicts itself.
    """
    from slotfit.sequence.plan import sequence as plan_it  # noqa: PLC0415 - loads OR-Tools
    from slotfit.solve.clock import Clock  # noqa: PLC0415
    from slotfit.solve.place import silent  # noqa: PLC0415

    def best(asked: Problem, left: float) -> Answer:
        return goal or place(asked, left).answer

    def carriers_of_shop() -> tuple[Part, ...]:
        return shop.parts("carrier") if shop else ()

    return plan_it(problem, best, carriers_of_shop, Clock(seconds), progress or silent)


def goal_of(problem: Problem) -> Problem:
    """The problem whose plan a sequence leads to; the same one where none is asked for."""
    if not (problem.retire or problem.sequence.model_dump(exclude_defaults=True)):
        return problem
    from slotfit.explain.canonical import canonical  # noqa: PLC0415 - only with a sequence
    from slotfit.sequence.layouts import with_goal  # noqa: PLC0415

    return with_goal(canonical(problem))


def pull_first(
    problem: Problem, part: str, seconds: float = 60.0, progress: Progress | None = None
) -> PullFirst | None:
    """
    What to pull so that a part can go in, best first; None if time ran out before that.

    Raises InputError if the part is unknown, or in a machine already.
    """
    from slotfit.sequence.pull_first import pull_first as rank_them  # noqa: PLC0415 - OR-Tools
    from slotfit.solve.clock import Clock  # noqa: PLC0415
    from slotfit.solve.place import silent  # noqa: PLC0415

    return rank_them(problem, part, Clock(seconds), progress or silent)
