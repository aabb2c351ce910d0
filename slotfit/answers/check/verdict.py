"""A verdict on each receptacle: from what becomes of the part in each layout tried there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from slotfit.answers.check.against import Objection, against_layout, reasons
from slotfit.answers.check.outcome import SeatOutcome, outcome_of, seen
from slotfit.answers.check.question import LayoutModel, SeatedParts, layouts, stands
from slotfit.hardware.room import positions
from slotfit.hardware.training import drawing, lanes_drawn_by
from slotfit.listing import natural
from slotfit.model.board import Arrangement, BoardReceptacle, Width
from slotfit.model.problem import Receptacle


class Word(Enum):
    """A verdict, best first."""

    WORKS = "works"
    """Every endpoint is seen with the board as it is."""
    ONCE_SET = "works once set"
    """Every endpoint is seen after a setting or jumper is changed."""
    IN_PART = "works in part"
    """Some endpoints stay dark whatever is set."""
    NOT_KNOWN = "not known"
    """Nobody has said whether every endpoint would be seen."""
    NO = "does not work"
    """It does not go in, or nothing of it is seen."""

    @property
    def rank(self) -> int:
        """0 for the best."""
        return list(Word).index(self)


@dataclass(frozen=True, slots=True)
class LanesLost:
    """Another receptacle that loses lanes: what it has today, what it has then."""

    receptacle: str
    before: tuple[Width, ...]
    after: tuple[Width, ...]


@dataclass(frozen=True, slots=True)
class WhileFilled:
    """How the part fares while something is plugged into other receptacles."""

    receptacles: tuple[str, ...]
    outcome: SeatOutcome


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer for one receptacle."""

    receptacle: Receptacle
    word: Word
    outcome: SeatOutcome | None
    """The best there is; None if it does not work."""
    unset: SeatOutcome | None = None
    """What happens if nothing is set, where that is something else."""
    certain: SeatOutcome | None = None
    """The best that is certain, where the best hangs on unproven facts."""
    twin: SeatOutcome | None = None
    """What the same setting gives if the lanes come in the other order."""
    barred: tuple[SeatOutcome, tuple[Objection, ...]] | None = None
    """A better one that something else forbids, and what."""
    maybe: SeatOutcome | None = None
    """A better one that hangs on unproven facts."""
    others: tuple[SeatOutcome, ...] = ()
    """What the other settings of the lane group come to."""
    reasons: tuple[Objection, ...] = ()
    """Every reason against, if it does not work."""
    refuted: tuple[Arrangement, ...] = ()
    """Arrangements that are listed and known not to work."""
    keep_empty: tuple[str, ...] = ()
    """Receptacles that would draw the lanes away if something were plugged into them."""
    filled: tuple[WhileFilled, ...] = ()
    lanes_lost: tuple[LanesLost, ...] = ()
    covers: tuple[str, ...] = ()
    """Receptacles its body covers or stands in the way of."""

    @property
    def is_misfit(self) -> bool:
        """Whether the plug is of another form, so that no more was looked at."""
        return bool(self.reasons) and all(one.no.is_about_forms for one in self.reasons)

    @property
    def summary(self) -> str:
        """What is seen, or may be; empty if it does not go in."""
        if self.outcome is None:
            return ""
        return ("perhaps " if self.word is Word.NOT_KNOWN else "") + seen(self.outcome)

    @property
    def good(self) -> bool:
        """It works, as it is or once something is set."""
        return self.word in (Word.WORKS, Word.ONCE_SET)


def kept_empty(outcome: SeatOutcome) -> tuple[str, ...]:
    """Receptacles that would draw its lanes away if something were plugged into them."""
    group, way = outcome.group, outcome.way
    if group is None or way is None:
        return ()
    own = (*way.served, outcome.receptacle)
    return tuple(name for name in lanes_drawn_by(group) if name not in own)


def while_filled(
    best: SeatOutcome, found: Sequence[tuple[SeatedParts, SeatOutcome]]
) -> Iterator[WhileFilled]:
    """How it fares under arrangements that come only while others are filled."""
    if best.group is None or best.way is None:
        return
    drawn = drawing(best.group)
    for way in best.group.arrangements:
        others = tuple(name for name in drawn.get(way.id, ()) if name != best.receptacle)
        if others and best.receptacle in way.served:
            for _, outcome in found:
                if outcome.way is way and outcome.seat is not best.seat:
                    yield WhileFilled(others, outcome)


def lanes_lost(outcome: SeatOutcome, today: SeatedParts) -> Iterator[LanesLost]:
    """Receptacles of its lane group that have fewer lanes than today."""
    group = outcome.seat.upstream.group
    if outcome.group is None or outcome.way is None or group is None:
        return
    own = today.ways.get(group, outcome.way.id)
    now = outcome.group.arrangement(own)
    for name, before in now.gives.items():
        after = outcome.way.gives.get(name, ())
        if name != outcome.receptacle and lanes_of(after) < lanes_of(before):
            yield LanesLost(name, before, after)


def lanes_of(widths: tuple[Width, ...]) -> int:
    """Lanes in all; a SATA or SAS lane is one."""
    return sum(width if isinstance(width, int) else 1 for width in widths)


def covers(model: LayoutModel, outcome: SeatOutcome) -> Iterator[str]:
    """Receptacles that its body covers, or that are in its way."""
    problem, seat = model.problem, outcome.seat
    own = problem.receptacle[seat.receptacle]
    covered = set(positions(problem, seat)[1:])
    for receptacle in problem.receptacles:
        spec = receptacle.spec
        place = (*receptacle.row, spec.position) if receptacle.row else None
        blocked_by = spec.blocked_by if isinstance(spec, BoardReceptacle) else ()
        if place in covered or (receptacle.owner == own.owner and own.spec.id in blocked_by):
            yield receptacle.id


def refuted(model: LayoutModel, receptacle: Receptacle) -> tuple[Arrangement, ...]:
    """Arrangements that would serve a receptacle of a board and are known not to work."""
    if not receptacle.on_board:
        return ()
    group = model.problem.machine[receptacle.owner].group_of.get(receptacle.spec.id)
    return tuple(
        way
        for way in (group.arrangements if group else ())
        if way.proof == "refuted" and way.gives.get(receptacle.spec.id)
    )


def verdict_on(model: LayoutModel, receptacle_id: str, today: SeatedParts) -> Verdict:
    """The word for one receptacle, and what belongs to it."""
    tried = [*layouts(model, receptacle_id, today)]
    found = settled(outcomes(model, tried, today), denied_ways(model, tried))
    possible = [outcome for layout, outcome in found if stands(layout, today)]
    receptacle = model.problem.receptacle[receptacle_id]
    if not possible:
        return Verdict(
            receptacle,
            Word.NO,
            None,
            reasons=tuple(reasons(model, receptacle, tried, today)),
            refuted=refuted(model, receptacle),
        )
    best = choose(possible)
    if best.total and not best.alive:
        return Verdict(receptacle, Word.NO, best, refuted=refuted(model, receptacle))
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
        barred=barred(model, found, best, today),
        maybe=min(perhaps, key=order) if perhaps else None,
        refuted=refuted(model, receptacle),
        others=tuple(others(possible, best)),
        keep_empty=kept_empty(best),
        filled=tuple(while_filled(best, found)),
        lanes_lost=tuple(lanes_lost(best, today)),
        covers=tuple(covers(model, best)),
    )


def barred(
    model: LayoutModel,
    found: Sequence[tuple[SeatedParts, SeatOutcome]],
    best: SeatOutcome,
    today: SeatedParts,
) -> tuple[SeatOutcome, tuple[Objection, ...]] | None:
    """The best of those that show more and that something forbids."""
    more = [
        (outcome, tuple(against_layout(model, layout, today)))
        for layout, outcome in found
        if outcome.alive > best.alive and not stands(layout, today)
    ]
    return min(more, key=lambda one: order(one[0]), default=None)


def outcomes(
    model: LayoutModel, tried: Sequence[SeatedParts], today: SeatedParts
) -> list[tuple[SeatedParts, SeatOutcome]]:
    """What becomes of the part in each layout in which it works."""
    return [
        (layout, outcome_of(model, layout, today))
        for layout in tried
        if layout.works(model.question.part_id)
    ]


def denied_ways(model: LayoutModel, tried: Sequence[SeatedParts]) -> list[Arrangement]:
    """Arrangements under which the part has no seat, because nothing of it would be seen."""
    part = model.question.part_id
    return [
        model.problem.arrangement(group, layout.ways)
        for layout in tried
        if not layout.works(part)
        for group in layout.ways
    ]


def settled(
    found: list[tuple[SeatedParts, SeatOutcome]], denied: Sequence[Arrangement]
) -> list[tuple[SeatedParts, SeatOutcome]]:
    """
    The order of the lanes decides nothing where no fewer endpoints are seen in the other one.

    Which of them stay dark is then a further fact.
    """
    told = []
    for layout, one in found:
        way = one.way
        no_fewer = all(other.alive >= one.alive for _, other in found if is_twin(one, other))
        if no_fewer and not any(way and is_one_label(way, other) for other in denied):
            decides = tuple(fact for fact in one.decides if fact not in one.order)
            told.append((layout, replace(one, decides=decides)))
        else:
            told.append((layout, one))
    return told


def word_for(outcome: SeatOutcome) -> Word:
    """The verdict on one outcome alone."""
    if not outcome.certain:
        return Word.NOT_KNOWN
    if not outcome.whole:
        return Word.IN_PART
    return Word.ONCE_SET if outcome.change else Word.WORKS


def others(possible: Sequence[SeatOutcome], best: SeatOutcome) -> Iterator[SeatOutcome]:
    """The other settings of the lane group, each once."""
    told = {best.way.setting} if best.way else set()
    sure = max((one.alive for one in possible if one.certain), default=-1)
    for one in possible:
        if one.way and one.way.order == "unknown" and one.alive <= sure:
            continue  # what its label may mean is certain otherwise
        if one.change and one.way and one.way.setting not in told:
            told.add(one.way.setting)
            yield one


def is_twin(best: SeatOutcome, other: SeatOutcome) -> bool:
    """Whether both are what one setting may mean: its lane order is not known."""
    if best.way is None or other.way is None or best.group != other.group:
        return False
    return is_one_label(best.way, other.way)


def is_one_label(one: Arrangement, other: Arrangement) -> bool:
    """Whether they are what one label means in either order, of which nobody knows which."""
    unknown = one.order == other.order == "unknown"
    return unknown and one.setting == other.setting and one is not other


def choose(possible: Sequence[SeatOutcome]) -> SeatOutcome:
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


def order(outcome: SeatOutcome) -> tuple[int, int, int, int, int, int]:
    """Best first: as `place` prefers, then what takes the least doing."""
    return (
        -outcome.alive,
        outcome.idle,
        outcome.short_mb_s,
        len(outcome.decides),
        int(outcome.change),
        len(outcome.provided),
    )


def verdicts(model: LayoutModel) -> tuple[Verdict, ...]:
    """A verdict for every receptacle the question names, best first."""
    today = model.lay(model.question.today, {})
    found = [verdict_on(model, receptacle, today) for receptacle in model.question.receptacles]
    rows = {
        (machine.id, row.id): number
        for machine in model.problem.machines
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
