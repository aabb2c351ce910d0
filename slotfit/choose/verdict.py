"""What a comparison comes to: every board's place, and a sentence on it."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.choose.compare import Result
from slotfit.choose.left import draw_unknown, lanes_left, left_over, power_left
from slotfit.choose.rank import Difference, difference, dominated_by, places, ranked
from slotfit.choose.verdict_words import deciding_words, missing_words
from slotfit.listing import listed
from slotfit.model.problem import Problem
from slotfit.render.compare.view import (
    UNTRIED,
    BoardView,
    Comparison,
    DecidingView,
    MissingView,
    PreferenceView,
)
from slotfit.render.view import SCHEMA_VERSION


def comparison_of(
    problem: Problem,
    machine: str,
    results: Sequence[Result],
    notes: Sequence[str] = (),
    *,
    stopped: bool = False,
) -> Comparison:
    """All boards ranked, each with its verdict."""
    order = ranked(results)
    return Comparison(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        machine=machine,
        items=tuple((item.id, item.part.name or item.part.id) for item in problem.items),
        notes=tuple(notes),
        stopped=stopped,
        boards=tuple(board_view(problem, result, order) for result in order),
    )


def board_view(problem: Problem, result: Result, order: Sequence[Result]) -> BoardView:
    """One board."""
    found = result.found
    rival = rival_of(result, order)
    apart = difference(result, rival) if rival else None
    own = [item.id for item in problem.items if item.companion_of is None]
    seated = {seat.item for seat in found.view.seats} if found else set()
    return BoardView(
        name=result.name,
        board=result.board,
        invented=result.invented,
        fitted=result.fitted,
        sockets=result.sockets,
        place=places(order).get(result.name, 0),
        complete=bool(found and not found.missing),
        proven=bool(found and found.proven),
        verdict=verdict(result, order),
        brief=brief(result, order),
        deciding=deciding_view(result, apart) if apart else None,
        dominated_by=dominated_by(result, order),
        placed=len(seated.intersection(own)),
        parts=len(own),
        preferences=tuple(
            PreferenceView(one.stage, one.value, one.bound, one.unit)
            for one in (found.stages if found else ())
        ),
        causes=found.causes if found else (),
        missing=tuple(
            MissingView(one.item, one.why.rule, str(one.why))
            for one in (found.missing if found else ())
        ),
        left=left_over(found.view) if found else (),
        lanes_left=lanes_left(found.view) if found else 0,
        power_left_w=power_left(found.view) if found else None,
        draw_unknown=draw_unknown(found.view) if found else (),
        price=result.price,
        notes=result.notes,
        outlook=found.outlook if found else None,
        seconds=result.seconds,
        mistake=result.mistake,
        view=found.view if found else None,
    )


def rival_of(result: Result, order: Sequence[Result]) -> Result | None:
    """Whom it is measured against: the best board; for the best ones the next that is worse."""
    best = order[0]
    if difference(result, best):
        return best
    return next((other for other in order if difference(result, other)), None)


def deciding_view(result: Result, apart: Difference) -> DecidingView:
    """The difference as this board sees it."""
    loses = apart.worse == result.name
    return DecidingView(
        against=apart.better if loses else apart.worse,
        stage=apart.stage,
        value=apart.worse_value if loses else apart.better_value,
        against_value=apart.better_value if loses else apart.worse_value,
        only=apart.only,
        worse_too=apart.worse_too if loses else apart.better_there,
        better=apart.better_there if loses else apart.worse_too,
        proven=apart.proven,
    )


def verdict(result: Result, order: Sequence[Result]) -> str:
    """One sentence, without its full stop."""
    found = result.found
    if result.mistake == UNTRIED:
        return f"not tried: {UNTRIED.partition(' it')[0]}"
    if result.mistake:
        return f"could not be tried: {result.mistake.splitlines()[0]}"
    if found is None and result.impossible:
        return "does not take everything; time ran out before it was known what it does take"
    if found is None:
        return "time ran out before a plan was found"
    said = [text for text in (standing(result, order), afterthought(result, order)) if text]
    if found.missing:
        said.insert(0, f"does not take everything: no place for {missing_words(found)}")
    if not found.proven:
        said.append("time ran out: it may be better than this")
    return "; ".join(said)


def brief(result: Result, order: Sequence[Result]) -> str:
    """The same without the reasons for what has no place."""
    found = result.found
    if found is None or not found.missing:
        return verdict(result, order)
    said = f"no place for {listed(one.item for one in found.missing)}"
    over = afterthought(result, order)
    return said + (f"; {over}" if over else "")


def standing(result: Result, order: Sequence[Result]) -> str:
    """How it compares with its rival, or with those it ties with."""
    rival = rival_of(result, order)
    apart = difference(result, rival) if rival else None
    ties = [other.name for other in order if other is not result and ties_with(result, other)]
    tie = f"as good as {listed(ties)} in every preference" if ties else ""
    complete = result.found is not None and not result.found.missing
    if apart is None or rival is None:
        return tie or ("everything fits" if complete else "")
    if apart.worse == result.name:
        if apart.stage == "required-parts" and complete is False:
            return tie
        loses = f"loses to {rival.name} {deciding_words(apart, result, rival)}"
        return "; ".join(text for text in (loses, tie) if text)
    ahead = "best; " + (f"{tie}; " if tie else "")
    return f"{ahead}{rival.name} loses {deciding_words(apart, rival, result)}"


def ties_with(one: Result, other: Result) -> bool:
    """Whether they are as good in every preference."""
    return bool(one.found and other.found) and difference(one, other) is None


def afterthought(result: Result, order: Sequence[Result]) -> str:
    """That there is no preference in which it is better."""
    over = dominated_by(result, order)
    return f"in no preference better than {over}" if over else ""
