"""From the outcomes in one receptacle to a verdict on it."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from itertools import islice

from slotfit.answers.check.answer import Effect, Filled, Outcome, Reason, Verdict, Word
from slotfit.answers.check.bench import Bench, Layout, ousted
from slotfit.answers.check.outcome import outcome_of
from slotfit.answers.check.question import keep_empty, taken_from, while_filled
from slotfit.engine.seats import in_one_receptacle
from slotfit.hardware.room import positions
from slotfit.listing import natural
from slotfit.model.board import Arrangement, BoardReceptacle
from slotfit.model.clause import AtMost, Clause, atoms_of
from slotfit.model.problem import Receptacle
from slotfit.model.seat import Seating
from slotfit.rule import Unheld
from slotfit.rulebook import against_unheld


def reasons(
    bench: Bench, receptacle: Receptacle, tried: Sequence[Layout], today: Layout
) -> list[Reason]:
    """
    What the seat rules object; where they do not, what the clauses forbid.

    Of several arrangements those that come nearest to working: that another one gives the
    receptacle no lanes at all is no further reason.
    """
    part = bench.question.part_id
    tried = with_lanes(bench, receptacle, tried)
    standing = [layout for layout in tried if part in layout.seats]
    against = [[*against_seat(bench, layout)] for layout in tried if layout not in standing]
    if standing:
        against = [[*against_layout(bench, layout, today)] for layout in standing]
    fewest = min(len(found) for found in against)
    told: dict[Hashable, Reason] = {}
    for found in against:
        for reason in found if len(found) == fewest else ():
            told.setdefault((reason.no, reason.here), reason)
    if not told:
        unheld = Unheld(bench.problem, bench.question.part, receptacle, frozenset(today.seats))
        return [Reason(no) for no in islice(against_unheld(unheld), 1)]
    forms = [reason for reason in told.values() if reason.no.is_about_forms]
    return forms or told_once(told.values())


def told_once(reasons: Iterable[Reason]) -> list[Reason]:
    """Who sits in a receptacle covers it too: that is one reason."""
    found = list(reasons)
    taken = {reason.blockers for reason in found if reason.one_receptacle}
    return [one for one in found if not one.bodies or one.blockers not in taken]


def with_lanes(bench: Bench, receptacle: Receptacle, tried: Sequence[Layout]) -> Sequence[Layout]:
    """The layouts in which a receptacle of a board gets lanes; all of them if it never does."""
    group = bench.group_at(receptacle.id, {})
    if group is None:
        return tried
    gives = {
        way.id for way in bench.groups[group].arrangements if way.gives.get(receptacle.spec.id)
    }
    return [layout for layout in tried if layout.ways.get(group) in gives] or tried


def against_seat(bench: Bench, layout: Layout) -> Iterator[Reason]:
    """What the seat rules object."""
    for one in layout.unseated[bench.question.part_id]:
        yield Reason(one)


def against_layout(bench: Bench, layout: Layout, today: Layout) -> Iterator[Reason]:
    """What the clauses forbid, and who loses the seat they have today."""
    for clause in layout.broken:
        yield forbidden(bench, clause, layout)
    for part in ousted(layout, today):
        for one in layout.unseated[part]:
            yield Reason(one, (part,))


def forbidden(bench: Bench, clause: Clause, layout: Layout) -> Reason:
    """A clause that does not hold, and what sits there today that it speaks of."""
    spoken = set(atoms_of(clause))
    blockers = tuple(
        part
        for part, seat in layout.seats.items()
        if seat.key in spoken and part not in bench.asked()
    )
    bodies = isinstance(clause, AtMost) and clause.unit == "bodies"
    here = comes_to(bench, clause, layout)
    if bodies and blockers:  # the clause speaks of all that could be there
        here = f"its body and that of {' and '.join(blockers)} would overlap"
    elif here:
        here = clause.reason.text + here
    return reason_of(bench.seating, clause, blockers, here)


def reason_of(
    seating: Seating, clause: Clause, blockers: tuple[str, ...], here: str = ""
) -> Reason:
    """A clause that does not hold, and who is in the way."""
    bodies = isinstance(clause, AtMost) and clause.unit == "bodies"
    return Reason(clause.reason, blockers, here, in_one_receptacle(seating, clause), bodies)


def comes_to(bench: Bench, clause: Clause, layout: Layout) -> str:
    """How much it would be, where the clause counts watts, plugs or bays."""
    if not isinstance(clause, AtMost) or clause.unit in ("", "parts", "bodies"):
        return ""
    chosen = bench.atoms(layout.seats.values(), layout.ways)
    total = sum(weight for atom, weight in clause.terms if atom in chosen)
    return f", and this comes to {f'{total / 1000:g} W' if clause.unit == 'mW' else total}"


def own_receptacle(outcome: Outcome) -> str:
    """Id of the board receptacle below it all."""
    return outcome.seat.upstream.root.rpartition("/")[2]


def kept_empty(outcome: Outcome) -> tuple[str, ...]:
    """Receptacles that would draw its lanes away if something were plugged into them."""
    if outcome.group is None or outcome.way is None:
        return ()
    return keep_empty(outcome.group, outcome.way, own_receptacle(outcome))


def filled(best: Outcome, found: Sequence[tuple[Layout, Outcome]]) -> Iterator[Filled]:
    """How it fares under arrangements that come only while others are filled."""
    if best.group is None or best.way is None:
        return
    for way, others in while_filled(best.group, own_receptacle(best)):
        for _, outcome in found:
            if outcome.way is way and outcome.seat is not best.seat:
                yield Filled(others, outcome)


def effects(outcome: Outcome, today: Layout) -> Iterator[Effect]:
    """Receptacles of its lane group that have fewer lanes than today."""
    group = outcome.seat.upstream.group
    if outcome.group is None or outcome.way is None or group is None:
        return
    own = today.ways.get(group, outcome.way.id)
    now = outcome.group.arrangement(own)
    for name in taken_from(now, outcome.way, own_receptacle(outcome)):
        yield Effect(name, now.gives[name], outcome.way.gives.get(name, ()))


def covers(bench: Bench, outcome: Outcome) -> Iterator[str]:
    """Receptacles that its body covers, or that are in its way."""
    problem, seat = bench.problem, outcome.seat
    own = problem.receptacle[seat.receptacle]
    covered = set(positions(problem, seat)[1:])
    for receptacle in problem.receptacles:
        place = (*receptacle.row, receptacle.spec.position) if receptacle.row else None
        if place in covered or is_blocked(receptacle, own):
            yield receptacle.id


def is_blocked(receptacle: Receptacle, by: Receptacle) -> bool:
    """Whether a receptacle cannot be used while there is a part in another."""
    own = receptacle.spec
    if not isinstance(own, BoardReceptacle) or receptacle.owner != by.owner:
        return False
    return by.spec.id in own.blocked_by


def refuted(bench: Bench, receptacle: Receptacle) -> tuple[Arrangement, ...]:
    """Arrangements that would serve a receptacle of a board and are known not to work."""
    if not receptacle.on_board:
        return ()
    group = bench.problem.machine[receptacle.owner].group_of.get(receptacle.spec.id)
    return tuple(
        way
        for way in (group.arrangements if group else ())
        if way.proof == "refuted" and way.gives.get(receptacle.spec.id)
    )


def layouts(bench: Bench, receptacle: str) -> Iterator[Layout]:
    """The part in one receptacle, once for each arrangement of the lanes below it."""
    question = bench.question
    sits = {**question.today, question.part_id: receptacle, **question.drives}
    group = bench.group_at(receptacle, sits)
    if group is None:
        yield bench.lay(sits, {})
        return
    for way in bench.groups[group].arrangements:
        yield bench.lay(sits, {group: str(way.id)})


def verdict_on(bench: Bench, receptacle_id: str, today: Layout) -> Verdict:
    """The word for one receptacle, and what belongs to it."""
    tried = [*layouts(bench, receptacle_id)]
    found = settled(outcomes(bench, tried, today))
    possible = [outcome for layout, outcome in found if stands(layout, today)]
    receptacle = bench.problem.receptacle[receptacle_id]
    if not possible:
        return Verdict(
            receptacle,
            Word.NO,
            None,
            reasons=tuple(reasons(bench, receptacle, tried, today)),
            refuted=refuted(bench, receptacle),
        )
    best = choose(possible)
    if best.total and not best.alive:
        return Verdict(receptacle, Word.NO, best, refuted=refuted(bench, receptacle))
    sure = [one for one in possible if one.certain]
    perhaps = [one for one in possible if not one.certain and one.alive > best.alive]
    unset = [one for one in possible if not one.change and one is not best]
    return Verdict(
        receptacle,
        word_for(best),
        best,
        unset=min(unset, key=order) if best.change and unset else None,
        certain=min(sure, key=order) if sure and not best.certain else None,
        twin=next((one for one in possible if is_twin(best, one)), None),
        maybe=min(perhaps, key=order) if perhaps else None,
        refuted=refuted(bench, receptacle),
        others=tuple(others(possible, best)),
        keep_empty=kept_empty(best),
        filled=tuple(filled(best, found)),
        effects=tuple(effects(best, today)),
        covers=tuple(covers(bench, best)),
    )


def outcomes(bench: Bench, tried: Sequence[Layout], today: Layout) -> list[tuple[Layout, Outcome]]:
    """What becomes of the part in each layout in which it has a seat."""
    return [
        (layout, outcome_of(bench, layout, today))
        for layout in tried
        if bench.question.part_id in layout.seats
    ]


def settled(found: list[tuple[Layout, Outcome]]) -> list[tuple[Layout, Outcome]]:
    """
    The order of the lanes decides nothing where as many endpoints are seen either way.

    Which of them stay dark is then a further fact.
    """
    return [
        (
            layout,
            indifferent(one)
            if all(other.alive == one.alive for _, other in found if is_twin(one, other))
            else one,
        )
        for layout, one in found
    ]


def indifferent(outcome: Outcome) -> Outcome:
    """The same, its lane order no longer deciding."""
    decides = tuple(fact for fact in outcome.decides if fact not in outcome.order)
    return outcome._replace(decides=decides)


def stands(layout: Layout, today: Layout) -> bool:
    """Whether nothing forbids a layout: no clause, and nobody loses the seat they have today."""
    return not layout.broken and not ousted(layout, today)


def word_for(outcome: Outcome) -> Word:
    """The verdict on one outcome alone."""
    if not outcome.certain:
        return Word.NOT_KNOWN
    if not outcome.whole:
        return Word.IN_PART
    return Word.ONCE_SET if outcome.change else Word.WORKS


def others(possible: Sequence[Outcome], best: Outcome) -> Iterator[Outcome]:
    """The other settings of the lane group, each once."""
    told = {best.way.setting} if best.way else set()
    for one in possible:
        if one.change and one.way and one.way.setting not in told:
            told.add(one.way.setting)
            yield one


def is_twin(best: Outcome, other: Outcome) -> bool:
    """Whether both are what one setting may mean: its lane order is not known."""
    if best.way is None or other.way is None or best.way.order == "known":
        return False
    one_label = (best.group, best.way.setting) == (other.group, other.way.setting)
    return one_label and other.way is not best.way and other.way.order == "unknown"


def choose(possible: Sequence[Outcome]) -> Outcome:
    """
    The outcome the verdict is about.

    One that is whole and certain; else one that is whole if its facts hold, which leaves the
    verdict open; else the best of the certain ones.
    """
    for wanted in (
        [one for one in possible if one.whole and one.certain],
        [one for one in possible if one.whole],
        [one for one in possible if one.certain],
        possible,
    ):
        if wanted:
            return min(wanted, key=order)
    raise ValueError("nothing to choose from")


def order(outcome: Outcome) -> tuple[int, int, int, int, int]:
    """Best first: as `place` prefers, then what takes the least doing."""
    return (
        -outcome.alive,
        outcome.short_mb_s,
        len(outcome.decides),
        int(outcome.change),
        len(outcome.provided),
    )


def verdicts(bench: Bench) -> tuple[Verdict, ...]:
    """A verdict for every receptacle the question names, best first."""
    today = bench.lay(bench.question.today, {})
    found = [verdict_on(bench, receptacle, today) for receptacle in bench.question.receptacles]
    rows = {
        (machine.id, row.id): number
        for machine in bench.problem.machines
        for number, row in enumerate(machine.board.rows)
    }
    return tuple(sorted(found, key=lambda verdict: best_first(verdict, rows)))


def best_first(verdict: Verdict, rows: Mapping[tuple[str, str], int]) -> tuple[object, ...]:
    """
    By what is certain to be seen, then by what may be, then where people look first.

    `rows` numbers the rows (owner, row) of the boards, where there are several.
    """
    outcome = verdict.outcome
    sure = outcome if outcome is None or outcome.certain else verdict.certain
    row = verdict.receptacle.row
    return (
        min(verdict.word.rank, Word.IN_PART.rank),
        verdict.word is Word.NO,
        -sure.alive if sure else 0,
        order(outcome) if outcome else (),
        verdict.is_misfit,
        (0, rows.get(row, 0), verdict.receptacle.spec.position) if row else (1, 0, 0),
        natural(verdict.receptacle.id),
    )
