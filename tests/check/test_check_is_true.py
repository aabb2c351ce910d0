"""What `check` says comes about: held against `place` on random machines that hold parts today."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache
from random import Random

import pytest

from slotfit.answers.check.check import check
from slotfit.answers.check.every import carriers, model_of
from slotfit.answers.check.given import every_drive
from slotfit.answers.check.machine_asked import as_today, held_to, question_of
from slotfit.answers.check.machine_asked import taken_out as out_of
from slotfit.answers.check.question import LayoutModel, Question, is_on
from slotfit.answers.check.verdict import Verdict, Word, verdicts
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import parts_of, receptacles_on
from slotfit.load.catalog import Catalog, carriers_for, standard_catalog
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.build import BuildPart
from slotfit.model.machine import PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Machine, Part, Problem
from slotfit.model.seat import Seat
from slotfit.rulebook import keeps_out
from slotfit.standards.forms import plug_fits
from tests.builds import (
    THEMES,
    Table,
    card,
    carrier,
    nvme,
    riser,
    slot_adapter,
    small_build,
    switch_carrier,
)
from tests.check.questions import is_whole, on_its_sockets
from tests.check.test_against_place import pinned
from tests.limits import SECONDS
from tests.solve.test_more_is_never_worse import widened
from tests.yardstick.builds import random_build

FITTING = 85
"""Of a hundred receptacles asked about, how many take the plug."""


# --- a machine in use -----------------------------------------------------------------------------


SCARCE = ("power", "carriers", "riser", "lanes", "supply", "plugs", "order", "adapter", "presence")
"""Themes in which a little more is likely to help."""


def drawn_build(dice: Random, themes: Sequence[str] = THEMES) -> Problem:
    """A random build whose parts want no place, but what they need; each has one plug."""
    if dice.random() < 0.1:
        build = random_build(dice.randrange(10**6))
    else:
        build = small_build(dice, dice.choice(themes))
    parts = tuple(needing(dice, part) for part in build.parts if is_whole(build, part))
    made = with_parts(replace(build, retire=()), parts)
    return sparing(dice, on_the_shelf(dice, made) if dice.random() < 0.7 else made)


def on_the_shelf(dice: Random, build: Problem) -> Problem:
    """The build with one part more that takes others, and enough of those for its sockets."""
    table = Table(dice, dice.choice(SCARCE), 0, 0)
    make = dice.choice((carrier, carrier, carrier, switch_carrier, riser, slot_adapter))
    holder = make(table, f"shelf-{make.__name__}")
    kind = card if make in (riser, slot_adapter) else nvme
    specs = [kind(table, f"shelf-{kind.__name__}")] * dice.randint(1, len(holder.receptacles))
    named = [(HOLDER, holder), *((f"on{number}", spec) for number, spec in enumerate(specs))]
    fresh = [
        part
        for name, spec in named
        for part in parts_of(BuildPart.model_construct(id=name, part=spec.id), spec)
    ]
    receptacles = [one for part in fresh for one in receptacles_on(part)]
    return replace(
        build,
        parts=(*build.parts, *fresh),
        receptacles=(*build.receptacles, *receptacles),
    )


HOLDER = "holder"
"""The part that takes others; it is in no machine."""


def sparing(dice: Random, build: Problem) -> Problem:
    """The build with slots and supplies that give about as much as is drawn, or as it is."""
    slot_w = dice.choice((None, None, 10, 20, 25, 30, 40))
    supply_w = dice.choice((None, None, None, None, 40, 80))

    def spared(machine: Machine) -> Machine:
        found = [
            one.model_copy(update={"power_w": slot_w}) if slot_w and one.form == "cem" else one
            for one in machine.board.receptacles
        ]
        watts = (machine.entry.base_w or 0) + (supply_w or 0)
        supply = machine.power_supply
        if supply is not None and supply_w:
            supply = supply.model_copy(update={"watts": watts})
        board = machine.board.model_copy(update={"receptacles": tuple(found)})
        return replace(machine, board=board, power_supply=supply)

    return on_machines(build, spared)


def needing(dice: Random, part: Part) -> Part:
    """The part without wishes about where it goes; sometimes it is to have a width."""
    wish = type(part.wish).model_construct(
        id=part.id,
        part=part.wish.part,
        demand=part.wish.demand,
        guest=part.wish.guest,
        min_lanes=dice.choice((1, 4, 8, 8)) if dice.random() < 0.3 else None,
        min_generation=dice.choice((3, 4)) if dice.random() < 0.1 else None,
        required=False,
    )
    return replace(part, wish=wish)


def with_parts(build: Problem, parts: tuple[Part, ...]) -> Problem:
    """The build with these of its parts."""
    owners = {part.id for part in parts}
    return replace(
        build,
        parts=parts,
        receptacles=tuple(one for one in build.receptacles if one.on_board or one.owner in owners),
        together=(),
        apart=(),
        today={},
        today_spans={},
        on_the_way=None,
    )


def strewn(dice: Random, build: Problem) -> dict[str, str]:
    """Most of the parts, each in some free receptacle that takes its plug."""
    places: dict[str, str] = {}
    loose = [one for one in build.parts if one.id != HOLDER and not one.id.startswith("on")]
    for part in dice.sample(loose, len(loose)):
        free = [
            one.id
            for one in build.receptacles
            if plug_fits(part.spec.plug.form, one.spec.form)
            and one.id not in places.values()
            and (one.on_board or one.owner in places)
            and one.owner != part.id
        ]
        if free and dice.random() < 0.7:
            places[part.id] = dice.choice(free)
    return places


def plan_with(build: Problem, sits: dict[str, str], *, required: bool) -> Plan | None:
    """What `place` makes of a build whose parts are pinned there, and of no others."""
    parts = tuple(pinned(build.part[name], where) for name, where in sits.items())
    if not required:
        loose = [one.wish.model_copy(update={"required": False}) for one in parts]
        parts = tuple(replace(part, wish=wish) for part, wish in zip(parts, loose, strict=True))
    answer = best_plan(replace(with_parts(build, parts), preferences=("optional-parts",)), SECONDS)
    assert answer.status in (Status.PROVEN, Status.IMPOSSIBLE)
    return answer.plan


def in_use(dice: Random) -> Problem:
    """A build in which whatever sits in a machine today works there."""
    while True:
        build = drawn_build(dice)
        plan = plan_with(build, strewn(dice, build), required=False)
        if build.parts and plan is not None:
            return standing(build, plan, said=dice.random() < 0.5)


def standing(build: Problem, plan: Plan, *, said: bool) -> Problem:
    """The build as it would be written if the plan were today's, with its settings if `said`."""
    chosen = {str(group): way for group, way in plan.arrangements.items()}
    asked = build.sequence.model_copy(update={"settings_today": chosen if said else {}})
    return replace(build, today={s.part: s.receptacle for s in plan.seats}, on_the_way=asked)


def asked_in(dice: Random, build: Problem) -> Question:
    """One of the parts with what sits on it, or may, held to one receptacle."""
    shelved = HOLDER in build.part and dice.random() < 0.7
    part = build.part[HOLDER] if shelved else dice.choice(build.parts)
    out = out_of(as_today(build, None), build, part.id)
    held = list(out.drives)
    shelf = [one for one in build.parts if one.id not in build.today and one.id != part.id]
    if not held and dice.random() < 0.8:
        placed = on_its_sockets(part, shelf)
        held = [
            (out_of(out.machine, build, one).part, receptacle) for one, receptacle in placed.items()
        ]
    question = held_to(out.machine, out.part, held, None, build.today.get(part.id))
    takes = [
        one
        for one in question.receptacles
        if plug_fits(part.spec.plug.form, question.problem.receptacle[one].spec.form)
    ]
    empty = [one for one in takes if one not in build.today.values()]
    takes = empty if empty and dice.random() < 0.7 else takes
    often = takes if takes and dice.randrange(100) < FITTING else question.receptacles
    return replace(question, receptacles=(dice.choice(often),))


def verdict_of(question: Question) -> Verdict:
    """The verdict on the one receptacle that is asked about."""
    return only_verdict(model_of(question))


def only_verdict(model: LayoutModel) -> Verdict:
    """The same, of a model that is there already."""
    (verdict,) = verdicts(model)
    return verdict


# --- P1 -------------------------------------------------------------------------------------------


def can_all_work(verdict: Verdict) -> bool:
    """Whether, as far as is known, the part and all that sits on it can be at work at once."""
    outcomes = (verdict.outcome, verdict.maybe, verdict.certain, *verdict.others)
    return any(one is not None and not one.idle for one in outcomes)


def a_pin_agrees(seed: int) -> Word:
    """The word that was said; with all pinned where it is asked about, `place` finds the same."""
    dice = Random(seed)
    build = in_use(dice)
    question = asked_in(dice, build)
    model = model_of(question)
    verdict = only_verdict(model)
    sits = {**question.today, **question.drives, question.part_id: verdict.receptacle.id}
    plan = plan_with(build, sits, required=True)
    if verdict.good:
        assert plan is not None
    elif verdict.word is Word.NO:
        assert plan is None
    else:
        assert (plan is not None) == can_all_work(verdict)
    if not verdict.good and question.drives and not has_misfits(model):
        unlinked = plan_with(with_idle(build, question), sits, required=True)
        assert (unlinked is None) == (verdict.word is Word.NO and verdict.outcome is None)
    return verdict.word


def has_misfits(model: LayoutModel) -> bool:
    """Whether something that is to be on the part does more than be seen, or does not go in."""
    question = model.question
    drives = [question.problem.part[name] for name in question.drives]
    return any(one.spec.receptacles or one.wish.min_lanes for one in drives) or any(
        keeps_out(no)
        for name, where in question.drives.items()
        for seat in model.seats_at[name, where]
        for no in model.judged(seat)
    )


def with_idle(build: Problem, question: Question) -> Problem:
    """The build with all that is on the part asked about drawing watts and wanting no lanes."""
    parts = tuple(
        replace(one, spec=one.spec.model_copy(update={"links": ()}))
        if one.id in question.drives
        else one
        for one in build.parts
    )
    return replace(build, parts=parts)


def test_what_check_says_a_pin_bears_out() -> None:
    words = [a_pin_agrees(seed) for seed in range(16, 48)]
    assert set(words) >= {Word.WORKS, Word.ONCE_SET, Word.NO}


@pytest.mark.long
@pytest.mark.parametrize("block", range(8))
def test_what_check_says_of_many_a_pin_bears_out(block: int) -> None:
    words = {a_pin_agrees(seed) for seed in range(40 + block * 40, 80 + block * 40)}
    assert Word.NO in words


def every_seat_passes(seed: int) -> int:
    """Seats of a plan that were asked about: `check` has each part at work beside the others."""
    build = small_build(Random(f"seat {seed}"))
    plan = best_plan(build, SECONDS).plan
    if plan is None:
        return 0
    now = standing(build, plan, said=True)
    machine = as_today(now, None)
    seats = [seat for seat in plan.seats if is_whole(build, build.part[seat.part])]
    for seat in seats:
        out = out_of(machine, now, seat.part)
        question = held_to(out.machine, out.part, out.drives, seat.receptacle, seat.receptacle)
        verdict = verdict_of(question)
        mine = [one for one in plan.seats if one is seat or seat.part in one.upstream.carriers]
        assert verdict.word in words_for(mine), (seat.key, verdict.reasons)
    return len(seats)


def words_for(seats: list[Seat]) -> set[Word]:
    """Words that say no less than a plan's own seats of a part and of what is on it."""
    if any(seat.dark for seat in seats):
        return set(Word) - {Word.NO}
    if any(seat.facts for seat in seats):  # another setting may need no proof
        return {Word.WORKS, Word.ONCE_SET, Word.NOT_KNOWN}
    return {Word.WORKS}


def test_every_seat_of_a_plan_passes_check_beside_the_others() -> None:
    assert sum(every_seat_passes(seed) for seed in range(60, 80)) > 10


@pytest.mark.long
@pytest.mark.parametrize("block", range(8))
def test_every_seat_of_many_plans_passes_check(block: int) -> None:
    assert sum(every_seat_passes(seed) for seed in range(80 + block * 50, 130 + block * 50)) > 30


# --- `carriers` -----------------------------------------------------------------------------------


@cache
def catalog() -> Catalog:
    """What came along."""
    return standard_catalog(())


@cache
def m2_carriers() -> list[PartSpec]:
    """Its carriers of M.2 drives."""
    return [*carriers_for(catalog(), ["m2-m"])]


def carriers_agree(seed: int) -> int:
    """Carriers that `carriers` shows somewhere: `check` says the same of each, and of the rest."""
    dice = Random(f"carriers {seed}")
    build = in_use(dice)
    machine = as_today(build, None)
    parts = dice.sample(m2_carriers(), 4)
    drives = [*every_drive(dice.choice(((), ("nvme-2280-gen4",))), catalog())]
    told = carriers(machine, [question_of(machine, one, drives) for one in parts])
    answers = {one.id: check(question_of(machine, one, drives)) for one in parts}
    found = {
        (name, one.receptacle): (one.status, one.alive, one.total, one.setting)
        for name, answer in answers.items()
        for one in answer.plan.receptacles
        if one.status != Word.NO.value
    }
    shown = {
        (kind.part, slot.slot): (kind.status, kind.seen, kind.total, kind.setting)
        for slot in told.plan.slots
        for kind in slot.carriers
    }
    assert shown.items() <= found.items()
    assert {slot for _, slot in shown} == {slot for _, slot in found}
    return len(shown)


def test_carriers_says_what_check_says() -> None:
    assert sum(map(carriers_agree, range(3))) > 2


@pytest.mark.long
def test_carriers_says_what_check_says_on_many_machines() -> None:
    assert sum(map(carriers_agree, range(3, 33))) > 30


# --- P5 -------------------------------------------------------------------------------------------


def standing_of(verdict: Verdict) -> tuple[int, int, int]:
    """How good a verdict is, the smaller the better."""
    outcome = verdict.outcome
    sure = outcome if outcome is None or outcome.certain else verdict.certain
    worst = verdict.word is Word.NO
    unsure = (Word.IN_PART, Word.NOT_KNOWN)
    rank = Word.IN_PART.rank if verdict.word in unsure else verdict.word.rank
    seen = max((one.alive for one in (outcome, verdict.maybe) if one), default=0)
    return (rank, -(sure.alive if sure else 0), 0 if worst else -seen)


def on_machines(problem: Problem, change: Callable[[Machine], Machine]) -> Problem:
    """The build with every machine changed, and its receptacles renewed."""
    machines = tuple(map(change, problem.machines))
    specs = {(one.id, spec.id): spec for one in machines for spec in one.receptacles}
    receptacles = tuple(
        replace(one, spec=specs[one.owner, one.spec.id]) if one.on_board else one
        for one in problem.receptacles
    )
    return replace(problem, machines=machines, receptacles=receptacles)


def more_watts(dice: Random, question: Question) -> Question:
    """Every receptacle that says what it supplies, on boards and on parts, gives more."""
    by = dice.choice((1, 5, 40))

    def richer(machine: Machine) -> Machine:
        found = [
            one.model_copy(update={"power_w": one.power_w + by}) if one.power_w else one
            for one in machine.board.receptacles
        ]
        board = machine.board.model_copy(update={"receptacles": tuple(found)})
        return replace(machine, board=board)

    made = on_machines(question.problem, richer)
    parts = tuple(replace(one, spec=fed_more(one.spec, by)) for one in made.parts)
    specs = {f"{part.id}/{one.id}": one for part in parts for one in part.spec.receptacles}
    receptacles = tuple(replace(one, spec=specs.get(one.id, one.spec)) for one in made.receptacles)
    return replace(question, problem=replace(made, parts=parts, receptacles=receptacles))


def fed_more(spec: PartSpec, by: float) -> PartSpec:
    """The part, its receptacles giving more."""
    found = [
        one.model_copy(update={"power_w": one.power_w + by}) if one.power_w else one
        for one in spec.receptacles
    ]
    return spec.model_copy(update={"receptacles": tuple(found)})


def stronger_supply(dice: Random, question: Question) -> Question:
    """Supplies of more watts, or of one more plug of each kind."""
    watts, plugs = dice.choice(((1, 0), (30, 0), (0, 1)))

    def stronger(supply: PowerSupply) -> PowerSupply:
        more = {plug: count + plugs for plug, count in (supply.plugs or {}).items()}
        have = None if supply.plugs is None else more
        return supply.model_copy(update={"watts": supply.watts + watts, "plugs": have})

    made = on_machines(
        question.problem,
        lambda one: replace(one, power_supply=one.power_supply and stronger(one.power_supply)),
    )
    return replace(question, problem=made)


def regrouped(question: Question, change: Callable[[Machine, LaneGroup], LaneGroup]) -> Question:
    """The question with each lane group changed."""

    def other(machine: Machine) -> Machine:
        groups = tuple(change(machine, group) for group in machine.board.lane_groups)
        return replace(machine, board=machine.board.model_copy(update={"lane_groups": groups}))

    return replace(question, problem=on_machines(question.problem, other))


def more_lanes(_: Random, question: Question) -> Question:
    """Twice the lanes wherever they are undivided and there is room for them."""
    return regrouped(question, lambda machine, group: widened(group, machine) or group)


def more_settings(dice: Random, question: Question) -> Question:
    """One more documented setting in each lane group that has settings, for any division."""

    def added(_: Machine, group: LaneGroup) -> LaneGroup:
        if any(way.chosen_by != "setting" for way in group.arrangements):
            return group
        name = dice.choice([*group.arrangements[0].gives])
        most = sum(one for one in group.arrangements[0].gives[name] if isinstance(one, int))
        widths = dice.choice([(most,), (most // 2, most // 2), (most // 4,) * 4])
        if not most or 0 in widths:
            return group
        way = Arrangement(id="more", gives={name: widths}, proof="documented", setting="more")
        return group.model_copy(update={"arrangements": (*group.arrangements, way)})

    return regrouped(question, added)


def said_today(question: Question) -> Question:
    """The question with what is set today in every lane group written down."""
    model = model_of(question)
    ways = {str(group): way for group, way in model.lay(question.today, {}).ways.items()}
    asked = question.problem.sequence.model_copy(update={"settings_today": ways})
    return replace(question, problem=replace(question.problem, on_the_way=asked))


def one_drive_fewer(dice: Random, question: Question) -> Question:
    """One of several drives taken off the part, with what is on it."""
    gone = dice.choice([*question.drives])
    left = {
        name: where
        for name, where in question.drives.items()
        if name != gone and not is_on(question.problem, question.drives, where, gone)
    }
    return replace(question, drives=left)


def no_worse(less: Verdict, more: Verdict) -> bool:
    """Whether more of something leaves the verdict at least as good."""
    return standing_of(more) <= standing_of(less)


def no_worse_without(less: Verdict, more: Verdict) -> bool:
    """Whether a drive fewer does."""
    if less.good:
        return more.good
    if less.word is Word.NO or more.word is not Word.NO:
        return True
    return bool(more.outcome)  # the one drive that was seen may be gone


MORE = (more_watts, stronger_supply, more_lanes, more_settings)


def more_of(dice: Random, question: Question) -> Question:
    """The question with more of some of these."""
    for change in MORE:
        question = change(dice, question) if dice.random() < 0.6 else question
    return question


def more_is_no_worse(seed: int) -> bool:
    """Whether more, or a drive fewer, made a difference; it never makes the verdict worse."""
    dice = Random(f"more {seed}")
    build = drawn_build(dice, SCARCE)
    build = replace(build, today=strewn(dice, build))
    if not build.parts:
        return False
    less = said_today(asked_in(dice, build))
    fewer = len(less.drives) > 1 and dice.random() < 0.4
    before = verdict_of(less)
    after = verdict_of(one_drive_fewer(dice, less) if fewer else more_of(dice, less))
    assert (no_worse_without if fewer else no_worse)(before, after), (before.word, after.word)
    return standing_of(before) != standing_of(after)


def test_more_never_makes_a_verdict_worse() -> None:
    assert sum(map(more_is_no_worse, range(32))) > 0


@pytest.mark.long
@pytest.mark.parametrize("block", range(4))
def test_more_never_makes_many_verdicts_worse(block: int) -> None:
    first = 40 + block * 100
    assert sum(map(more_is_no_worse, range(first, first + 100))) > 0
