"""What a comparison comes to: every board's rank, and a sentence on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from slotfit.answers.answer_word import AnswerWord, answered, on_condition
from slotfit.answers.compare.answer import (
    SCHEMA_VERSION,
    UNTRIED,
    BoardPlan,
    BoardTried,
    CompareAnswer,
    CompareDo,
    CompareMore,
    ComparePlan,
    CompareVerdict,
    CompareWatch,
    Difference,
    RankedBoard,
)
from slotfit.answers.names import stage_amount
from slotfit.answers.place.causes import Contribution
from slotfit.hardware.flow import FLOWS
from slotfit.listing import counted, listed
from slotfit.model.problem import Problem

REQUIRED = "required-parts"
"""What comes before every preference: that everything required has a seat."""


def score(plan: BoardPlan) -> dict[str, int]:
    """Preference -> value, in their order; smaller is better."""
    return {REQUIRED: len(plan.missing)} | {one.stage: one.value for one in plan.stages}


def ranked(boards: Sequence[BoardTried]) -> list[BoardTried]:
    """Best first, ties in the order given; then what did not fit, what took too long, mistakes."""

    def order(board: BoardTried) -> tuple[int, ...]:
        if board.plan:
            return (0, *score(board.plan).values())
        return (3 if board.mistake else 1 if board.impossible else 2,)

    return sorted(boards, key=order)


def ranks(boards: Sequence[BoardTried]) -> dict[str, int]:
    """The rank of each board that has a plan; boards that tie share one."""
    scores = {one.name: [*score(one.plan).values()] for one in boards if one.plan}
    return {
        name: 1 + sum(other < mine for other in scores.values()) for name, mine in scores.items()
    }


def difference(board: BoardTried, other: BoardTried) -> Difference | None:
    """How a board differs from another; None if they tie, or one of them has no plan."""
    if not board.plan or not other.plan:
        return None
    mine, theirs = score(board.plan), score(other.plan)
    apart = [stage for stage in mine if mine[stage] != theirs.get(stage)]
    apart = [stage for stage in apart if stage not in said_before(apart, [mine, theirs])]
    if not apart:
        return None
    stage, *later = apart
    return Difference(
        against=other.name,
        stage=stage,
        value=mine[stage],
        against_value=theirs[stage],
        only=stage != REQUIRED and not later,
        worse_too=tuple(name for name in later if mine[name] > theirs[name]),
        better=tuple(name for name in later if mine[name] < theirs[name]),
        proven=board.plan.proven and other.plan.proven,
    )


def said_before(stages: Sequence[str], boards: Sequence[Mapping[str, int]]) -> set[str]:
    """Flows that come to the same on every board as an earlier one."""
    known: set[tuple[int, ...]] = set()
    found: set[str] = set()
    for stage in stages:
        values = tuple(board.get(stage, 0) for board in boards)
        if stage in FLOWS:
            found |= {stage} if values in known else set()
            known.add(values)
    return found


def dominated_by(board: BoardTried, boards: Sequence[BoardTried]) -> str | None:
    """
    A board than which this one is better in nothing: no preference, no future, and not its price.

    Only proven plans count, and one of two that tie does not dominate the other.
    """
    for other in boards:
        apart = difference(board, other)
        if (
            apart
            and apart.proven
            and apart.loses
            and not apart.better
            and not has_more_to_offer(board, other)
        ):
            return other.name
    return None


def has_more_to_offer(board: BoardTried, other: BoardTried) -> bool:
    """Whether it is known to cost less, or to take futures that the other does not."""
    cheaper = board.price is not None and other.price is not None and board.price < other.price
    mine, theirs = (one.plan and one.plan.futures for one in (board, other))
    return cheaper or bool(mine and theirs and set(mine.fits) - set(theirs.fits))


STAGE_NAMES = {
    REQUIRED: "what has to fit",
    "demand": "demand",
    "optional-parts": "optional parts",
    "optional-demand": "demand of optional parts",
    "dark-endpoints": "endpoints not detected",
    "unproven-facts": "unproven facts",
    "bandwidth": "bandwidth",
    "locality": "locality",
    "cooling": "cooling",
}

AMOUNTS = {
    REQUIRED: ("required part without a place", "required parts without a place"),
    "demand": ("GB/s short of demand", "GB/s short of demand"),
    "optional-demand": ("GB/s short of demand", "GB/s short of demand"),
    "optional-parts": ("worth of optional parts left out", "worth of optional parts left out"),
    "dark-endpoints": ("endpoint not detected", "endpoints not detected"),
    "bandwidth": ("GB/s short at full rate", "GB/s short at full rate"),
    "unproven-facts": ("unproven fact", "unproven facts"),
    "locality": ("part on another processor", "parts on another processor"),
    "cooling": ("gap without air", "gaps without air"),
}
"""What one of it is called, and what several are."""

CAUSES_TOLD = 3


def difference_text(apart: Difference, worse: BoardTried, better: BoardTried) -> str:
    """`only on locality: 2 parts on another processor against none (nic-25 on cpu1, not cpu0)`."""
    told = "; ".join(causes_told(apart.stage, worse.plan, better.plan))
    text = deciding_text(apart) + (f" ({told})" if told else "")
    if apart.stage == REQUIRED:
        return text  # other preferences are easily met with fewer parts
    if apart.worse_too:
        text += f"; worse in {listed(STAGE_NAMES[stage] for stage in apart.worse_too)} too"
    if apart.better:
        named = listed(STAGE_NAMES[stage] for stage in apart.better)
        text += f"; better in {named}, which counts less"
    return text


def amount(stage: str, value: int) -> str:
    """`none`, `2`, `15.9`."""
    if not value:
        return "none"
    return stage_amount(stage, value)


def causes_told(stage: str, worse: BoardPlan | None, better: BoardPlan | None) -> Iterator[str]:
    """What makes the difference on the worse board: causes that the better one has less of."""
    there = {one.who: one.amount for one in causes_in(better, stage)}
    told = [one.text for one in causes_in(worse, stage) if one.amount > there.get(one.who, 0)]
    yield from told[:CAUSES_TOLD]
    if len(told) > CAUSES_TOLD:
        yield f"and {len(told) - CAUSES_TOLD} more"


def causes_in(plan: BoardPlan | None, stage: str) -> Sequence[Contribution]:
    """What makes up one preference's value."""
    if plan and stage == REQUIRED:
        return [
            Contribution(stage, listed(items), len(items), f"{listed(items)}: {why}")
            for why, items in by_reason(plan).items()
        ]
    return [one for one in plan.contributions if one.stage == stage] if plan else ()


def by_reason(plan: BoardPlan) -> dict[str, list[str]]:
    """Why parts have no place -> the parts."""
    found: dict[str, list[str]] = {}
    for one in plan.missing:
        found.setdefault(one.why, []).append(one.item)
    return found


def missing_text(plan: BoardPlan) -> str:
    """Parts without a place, those with one reason together."""
    told = [f"{listed(parts)} ({why})" for why, parts in by_reason(plan).items()]
    more = len(told) - CAUSES_TOLD
    return "; ".join(told[:CAUSES_TOLD]) + (f"; and {more} more" if more > 0 else "")


def verdict(board: BoardTried, order: Sequence[BoardTried]) -> str:
    """One sentence, without its full stop."""
    plan = board.plan
    if board.mistake == UNTRIED:
        return "not tried: stopped before"
    if board.mistake:
        return f"could not be tried: {board.mistake.splitlines()[0]}"
    if plan is None and board.impossible:
        return "does not take everything; time ran out before it was known what it does take"
    if plan is None:
        return "time ran out before a plan was found"
    said = [text for text in (standing(board, order), no_better_text(board, order)) if text]
    if plan.missing:
        said.insert(0, f"does not take everything: no place for {missing_text(plan)}")
    if not plan.proven:
        said.append("time ran out: it may be better than this")
    return "; ".join(said)


def brief(board: BoardTried, order: Sequence[BoardTried]) -> str:
    """The same with one reason for what has no place."""
    plan = board.plan
    if plan is None or not plan.missing:
        return verdict(board, order)
    why, parts = max(by_reason(plan).items(), key=lambda pair: len(pair[1]))
    more = f"; and {len(plan.missing) - len(parts)} more" if len(parts) < len(plan.missing) else ""
    over = no_better_text(board, order)
    said = f"no place for {counted(len(parts), 'part')}, such as {parts[0]}: {why}{more}"
    return said + (f"; {over}" if over else "")


def no_better_text(board: BoardTried, order: Sequence[BoardTried]) -> str:
    """That there is no preference in which it is better."""
    over = dominated_by(board, order)
    return f"in no preference better than {over}" if over else ""


def rival_of(board: BoardTried, order: Sequence[BoardTried]) -> BoardTried | None:
    """Whom it is measured against: the best board; for the best ones the next that is worse."""
    if difference(board, order[0]):
        return order[0]
    return next((other for other in order if difference(board, other)), None)


def standing(board: BoardTried, order: Sequence[BoardTried]) -> str:
    """How it compares with its rival, or with those it ties with."""
    ties = [
        other.name
        for other in order
        if other is not board and other.plan and difference(board, other) is None
    ]
    tie = f"as good as {listed(ties)} in every preference" if ties else ""
    rival = rival_of(board, order)
    apart = difference(board, rival) if rival else None
    lacks = bool(board.plan and board.plan.missing)
    if apart is None or rival is None:
        return tie or ("" if lacks else "everything fits")
    if not apart.loses:
        back = difference(rival, board)
        loses = f"{rival.name} loses {difference_text(back, rival, board)}" if back else ""
        return "; ".join(text for text in ("best", tie, loses) if text)
    if apart.stage == REQUIRED and lacks:
        return tie
    loses = f"loses to {rival.name} {difference_text(apart, board, rival)}"
    return "; ".join(text for text in (loses, tie) if text)


WORDS: dict[str, AnswerWord] = {
    "fits": "yes",
    "none-fits": "no",
    "unreadable": "bad input",
    "out-of-time": "out of time",
    "stopped": "out of time",
}


def compare_answer(
    problem: Problem,
    machine: str,
    tried: Sequence[BoardTried],
    not_asked: Sequence[str] = (),
    *,
    stopped: bool = False,
) -> CompareAnswer:
    """All boards ranked, each with its verdict."""
    boards = tuple(ranked_boards(tried))
    complete = [one for one in boards if one.tried.plan and not one.tried.plan.missing]
    failed = [one.tried for one in boards if one.tried.mistake]
    status = status_of(tried, some_fit=bool(complete), stopped=stopped)
    word = word_of(status, complete)
    stages = (stage.stage for one in boards if one.tried.plan for stage in one.tried.plan.stages)
    return CompareAnswer(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        machine=machine,
        verdict=CompareVerdict(word, status, headline(word, boards, complete)),
        plan=ComparePlan(
            parts=tuple((part.id, part.spec.name or part.spec.id) for part in problem.parts),
            count=sum(part.companion_of is None for part in problem.parts),
            boards=boards,
        ),
        do=CompareDo(
            take=tuple(one.tried.name for one in complete if one.rank == 1),
            correct=tuple(one.name for one in failed if one.mistake != UNTRIED),
            try_again=tuple(one.name for one in failed if one.mistake == UNTRIED),
        ),
        watch=CompareWatch(tuple(not_asked), tuple(notes(tried))),
        more=CompareMore(tuple(dict.fromkeys(stages))),
    )


def ranked_boards(tried: Sequence[BoardTried]) -> Iterator[RankedBoard]:
    """Every board, best first."""
    order = ranked(tried)
    rank = ranks(order)
    for board in order:
        rival = rival_of(board, order)
        yield RankedBoard(
            rank=rank.get(board.name, 0),
            verdict=verdict(board, order),
            brief=brief(board, order),
            deciding=difference(board, rival) if rival else None,
            dominated_by=dominated_by(board, order),
            tried=board,
        )


def status_of(tried: Sequence[BoardTried], *, some_fit: bool, stopped: bool) -> str:
    """The word for it all, see CompareVerdict."""
    if stopped:
        return "stopped"
    if some_fit:
        return "fits"
    if all(one.mistake for one in tried):
        return "unreadable"
    return "none-fits" if any(one.plan for one in tried) else "out-of-time"


def headline(
    word: AnswerWord, boards: Sequence[RankedBoard], complete: Sequence[RankedBoard]
) -> str:
    """Which board to take and what decides, without its full stop; empty if there is no board."""
    if not boards:
        return ""
    best, tried = boards[0], [one.tried for one in boards]
    if not complete:
        return answered(word, f"no board takes everything; nearest is {best.tried.name}")
    plan = best.tried.plan
    facts = len(plan.answer.watch.rests_on) if plan else 0
    rival = rival_of(best.tried, tried)
    apart = difference(rival, best.tried) if rival else None
    text = f"take {listed(one.tried.name for one in complete if one.rank == 1)}"
    if rival and apart:
        text += f"; {rival.name} loses {deciding_text(apart)}"
    return answered(word, text, facts)


def deciding_text(apart: Difference) -> str:
    """`on locality: 2 parts on another processor against none`."""
    one, several = AMOUNTS[apart.stage]
    value = f"{amount(apart.stage, apart.value)} {one if apart.value == 1 else several}"
    only = "only " if apart.only else ""
    against = amount(apart.stage, apart.against_value)
    return f"{only}on {STAGE_NAMES[apart.stage]}: {value} against {against}"


def word_of(status: str, complete: Sequence[RankedBoard]) -> AnswerWord:
    """The answer in a word, by the best board that takes everything."""
    best = complete[0].tried.plan if complete else None
    facts = bool(best and best.answer.watch.rests_on)
    return on_condition(WORDS[status], facts=facts)


def notes(tried: Sequence[BoardTried]) -> Iterator[str]:
    """What holds for all boards, and what nobody has looked at."""
    missing = (part for one in tried if one.plan for part in one.plan.missing)
    if any("chassis.sizes" in part.cites for part in missing):
        yield "a board is too big for its chassis: --no-chassis leaves that aside"
    yield "today's layout and settings count for nothing here, on no board"
    yield "the base load is taken to be the same on every board"
    yield (
        "compared are slots, lanes, room and power; whether your processors, memory and coolers "
        "fit another board is for its manual to say"
    )
