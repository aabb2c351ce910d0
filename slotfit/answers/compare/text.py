"""A comparison of boards for a terminal of 80 columns, and as a table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from slotfit.answers.compare.answer import (
    UNTRIED,
    BoardPlan,
    BoardTried,
    CompareAnswer,
    RankedBoard,
)
from slotfit.answers.compare.verdict import said_before, score
from slotfit.answers.names import (
    MARKS,
    SHORT,
    carries_text,
    gb_s,
    live_text,
    marks_of,
    needs_text,
    stage_amount,
)
from slotfit.answers.place.additions import FuturesTaken
from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.place.causes import FreeGroup
from slotfit.answers.text_layout import (
    WIDTH,
    bullet,
    bulleted,
    columns,
    fill,
    heading,
    joined,
    verdict,
)
from slotfit.listing import counted

COLUMNS = {
    "demand": ("asked", "asked: GB/s that required parts are said to move and cannot"),
    "optional-parts": ("optional", "optional: weight of optional parts left out"),
    "optional-demand": ("stated", "stated: GB/s that parts are said to move and cannot"),
    "dark-endpoints": ("undetected", "undetected: endpoints"),
    "unproven-facts": ("facts", "facts: unproven"),
    "bandwidth": ("short", "short: GB/s that do not get through at full rate, both ways added"),
    "locality": ("far", "far: parts on another processor"),
    "cooling": ("airless", "airless: gaps"),
}
"""Preference -> head of its column, and what it counts."""


def with_plan(answer: CompareAnswer) -> list[RankedBoard]:
    """The boards that have a plan, best first."""
    return [board for board in answer.plan.boards if board.tried.plan]


def stages_shown(boards: Sequence[RankedBoard], *, zeros: bool) -> list[str]:
    """The preferences, in order; without `zeros` none that all boards meet in full."""
    every = [one for board in boards if board.tried.plan for one in board.tried.plan.stages]
    shown = {one.stage for one in every if zeros or one.value}
    stages = [stage for stage in dict.fromkeys(one.stage for one in every) if stage in shown]
    again = said_before(stages, [score(one.tried.plan) for one in boards if one.tried.plan])
    return [stage for stage in stages if stage not in again]


def legend(boards: Sequence[RankedBoard], *, zeros: bool = True) -> str:
    """What the columns count."""
    said = [COLUMNS[stage][1] for stage in stages_shown(boards, zeros=zeros)]
    return "; ".join([*said, "lanes, W: left"])


def table(
    answer: CompareAnswer, boards: Sequence[RankedBoard], *, zeros: bool = True
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and a row a board."""
    stages = stages_shown(boards, zeros=zeros)
    extra = [name for name, text in EXTRAS.items() if any(text(board.tried) for board in boards)]
    head = ("board", "placed", *(COLUMNS[stage][0] for stage in stages), "lanes", "W", *extra)
    rows = [
        (
            board.tried.name,
            f"{plan.placed}/{answer.plan.count}",
            *values(plan, stages),
            str(plan.lanes_left),
            watts_left(plan),
            *(EXTRAS[name](board.tried) for name in extra),
        )
        for board in boards
        if (plan := board.tried.plan)
    ]
    return head, rows


def values(plan: BoardPlan, stages: Iterable[str]) -> Iterator[str]:
    """One value a stage; a value that is not proven with the one that may be possible."""
    known = {one.stage: one for one in plan.stages}
    for stage in stages:
        one = known.get(stage)
        if one is None:
            yield "-"
        else:
            perhaps = "" if one.proven else f" (or {stage_amount(stage, one.bound)})"
            yield stage_amount(stage, one.value) + perhaps


def watts_left(plan: BoardPlan) -> str:
    """What the supply has left; `<` where some draw is not known."""
    if plan.power_left_w is None:
        return "?"
    return ("<" if plan.draw_unknown else "") + f"{plan.power_left_w:g}"


def price(board: BoardTried) -> str:
    """The board's price, as its file has it."""
    return "" if board.price is None else f"{board.price:g}"


def processors(board: BoardTried) -> str:
    """Processors fitted, where not every socket has one."""
    return f"{board.fitted}/{board.sockets}" if board.fitted < board.sockets else ""


def futures_share(board: BoardTried) -> str:
    """Share of the likely futures, by weight."""
    return f"{board.plan.futures.share:.0%}" if board.plan and board.plan.futures else ""


def year(board: BoardTried) -> str:
    """A year of all machines at rest, if what a kWh costs is said; `>` where figures lack."""
    plans = [one.plan for one in board.plan.answer.more.rest] if board.plan else []
    costs = [one.cost for one in plans if one.cost is not None]
    lacks = ">" if any(one.missing for one in plans) else ""
    return f"{lacks}{sum(costs):.0f}" if costs else ""


EXTRAS = {"price": price, "year": year, "processors": processors, "futures": futures_share}
"""Columns that are there only if some board has something to say in them."""

LEFT_OUT = "left out"


def seat_in(board: RankedBoard, part: str) -> PlannedSeat | None:
    """Where the board has the part."""
    plan = board.tried.plan
    return (
        next((seat for seat in plan.answer.plan.seats if seat.item == part), None) if plan else None
    )


def several_machines(board: RankedBoard) -> bool:
    """Whether a receptacle is known only by its machine too."""
    return board.tried.plan is not None and len(board.tried.plan.answer.plan.machines) > 1


def place(board: RankedBoard, seat: PlannedSeat) -> str:
    """`SLOT 3`, `m2a of cache`, and the machine where there are several."""
    machine = f"{seat.machine} " if several_machines(board) and not seat.depth else ""
    return f"{machine}{seat.label}" + (f" of {seat.owner}" if seat.depth else "")


def demand(seat: PlannedSeat) -> str:
    """What it needs and what its links carry: `needs 6.2, carries 6.6 GB/s one way`."""
    if not seat.needs_mb_s:
        return ""
    text = f"needs {needs_text(seat)}, carries {carries_text(seat.carries_mb_s)} GB/s one way"
    return text + (f"; {gb_s(seat.short_mb_s)} {SHORT}" if seat.short_mb_s else "")


def hangs_on(seat: PlannedSeat) -> str:
    """`cpu1 via chipset`; empty if it takes no lanes, or takes those of what it sits on."""
    if seat.processor is None or seat.depth:
        return ""
    return seat.processor + (f" via {seat.hub}" if seat.hub else "")


def cell(board: RankedBoard, part: str) -> str:
    """The part there in one line: `SLOT 2 gen 3 x8 cpu0 !`, `cache/m2a gen 4 x4`, `4/4 live`."""
    seat = seat_in(board, part)
    if seat is None:
        return LEFT_OUT
    owner = f"{seat.owner}/" if seat.depth or several_machines(board) else ""
    short_link = live_text(seat).replace(" of ", "/")
    words = (owner + seat.label, short_link, hangs_on(seat).partition(" ")[0], marks_of(seat))
    return " ".join(word for word in words if word)


TOLD = (
    ("bandwidth", "short, in GB/s both ways added", ", "),
    ("dark-endpoints", "not detected", "; "),
    ("locality", "far", "; "),
    ("cooling", "without air", "; "),
    ("unproven-facts", "rests on", "; "),
)
"""Preference, how its causes are introduced, and what stands between them."""


def remarks(board: BoardTried) -> Iterator[str]:
    """What has no place, where it is short, what is left there, what was not carried over."""
    if board.plan:
        yield from plan_remarks(board.plan)
    if board.fitted < board.sockets:
        yield f"{board.fitted} of {board.sockets} processors fitted"
    yield from board.notes
    if board.invented:
        yield "an archetype or an invention, not your board: its manual decides"


def plan_remarks(plan: BoardPlan) -> Iterator[str]:
    """What its plan lacks and leaves."""
    for one in plan.missing:
        yield f"no place for {one.item}: {one.why}"
    for stage, word, between in TOLD:
        told = [cause.text for cause in plan.contributions if cause.stage == stage]
        if told:
            yield f"{word}: {between.join(told)}"
    free = "; ".join(map(free_text, plan.free))
    yield f"still free: {free or 'no receptacle of the board that gets lanes'}"
    if plan.futures:
        yield futures_text(plan.futures)


def free_text(free: FreeGroup) -> str:
    """`2 of cem x16 with gen 4 x16 (SLOT1, SLOT2)`."""
    count = f"{len(free.labels)} of " if len(free.labels) > 1 else ""
    return f"{count}{free.connector} with {free.gets} ({', '.join(free.labels)})"


def futures_text(found: FuturesTaken) -> str:
    """Which of the likely futures it takes."""
    groups = (
        ("takes", found.fits),
        ("does not take", found.fails),
        ("open, as time ran out", found.open),
    )
    told = "; ".join(f"{word} {', '.join(names)}" for word, names in groups if names)
    return f"{found.share:.0%} of the likely futures by weight: {told}"


def to_mind(answer: CompareAnswer) -> tuple[str, ...]:
    """What holds for all boards."""
    return (*answer.watch.not_asked, *answer.watch.notes)


HEAD = (
    *("board", "place", "part", "what", "receptacle", "link"),
    *("needs_in_mb_s", "needs_out_mb_s", "carries_mb_s", "short_mb_s", "shared_short_mb_s"),
    *("processor", "hub", "far", "unproven_facts", "why_left_out"),
)

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a text may not begin with: a spreadsheet would work it out."""


def as_csv(answer: CompareAnswer) -> str:
    """
    Every board with every part; a board that could not be tried has one row.

    RFC 4180, with a header. Megabytes per second: what is needed and carried one way, what is short
    both ways added.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for board in answer.plan.boards:
        for row in table_rows(answer, board):
            writer.writerow([harmless(value) for value in row])
    return out.getvalue()


def table_rows(answer: CompareAnswer, board: RankedBoard) -> Iterator[tuple[str | int, ...]]:
    """One board's rows."""
    start = (board.tried.name, board.rank or "")
    plan = board.tried.plan
    if plan is None:
        yield (*start, *[""] * (len(HEAD) - 3), board.tried.mistake or board.verdict)
        return
    missing = {one.item: one.why for one in plan.missing}
    for part, what in answer.plan.parts:
        seat = seat_in(board, part)
        if seat is None:
            why = missing.get(part, LEFT_OUT)
            yield (*start, part, what, *[""] * (len(HEAD) - 5), why)
            continue
        yield (
            *start,
            *(part, what, place(board, seat), live_text(seat)),
            *(seat.wanted_in_mb_s, seat.wanted_out_mb_s, seat.carries_mb_s or 0),
            *(seat.short_mb_s, seat.shared_short_mb_s),
            *(seat.processor or "", seat.hub or "", int(seat.far), len(seat.facts), ""),
        )


def harmless(value: str | int) -> str | int:
    """A text that a spreadsheet would take for a formula gets an apostrophe in front."""
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA) else value


MOST_TABLED = 4
"""Of so many boards every part is told; of more there are too many to read."""


def as_text(answer: CompareAnswer, *, every: bool = False) -> str:
    """Which board to take, why not the others; with `every` part by part."""
    return joined(lines(answer, every=every))


def lines(answer: CompareAnswer, *, every: bool) -> Iterator[str]:
    """Top down."""
    count = len(answer.plan.boards)
    yield from fill(f"{answer.title}: the same parts on {counted(count, 'board')}")
    if answer.verdict.headline:
        yield from verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    if answer.verdict.status == "stopped":
        yield from fill("Stopped: only what was done by then is compared.")
    boards = with_plan(answer)
    few = every and len(boards) <= MOST_TABLED
    yield from best_first(answer, brief=not few)
    if few:
        yield from part_tables(answer, boards)
    elif every:
        yield from heading(f"Part by part: name at most {MOST_TABLED} boards to see it")
    if boards:
        yield from totals(answer, boards)
    for board in boards if few else boards[:1]:
        yield from bulleted(board.tried.name, remarks(board.tried))
    yield from bulleted("Notes", to_mind(answer))
    if not every:
        yield from fill("More: --all every part on every board, every reason.")


def best_first(answer: CompareAnswer, *, brief: bool) -> Iterator[str]:
    """Every board that was tried; `brief`: those that are not to be taken, a line or two each."""
    told = [board for board in answer.plan.boards if board.tried.mistake != UNTRIED]
    if brief:
        told = [board for board in told if board.tried.name not in answer.do.take]
    if told or answer.do.try_again:
        yield from heading("The others, best first" if brief and answer.do.take else "Best first")
    for board in told:
        number = f"{board.rank}. " if board.rank else ""
        said = board.brief if brief else board.verdict
        yield from bullet(f"{number}{board.tried.name}: {said}.", hang=4 + len(number))
    if answer.do.try_again:
        yield from bullet(f"not tried: {', '.join(answer.do.try_again)}")


def part_tables(answer: CompareAnswer, boards: Sequence[RankedBoard]) -> Iterator[str]:
    """Part by part, as many boards side by side as there is room for."""
    parts = [part for part, _ in answer.plan.parts]
    for some in side_by_side(parts, boards):
        key = ", ".join(f"{mark} {text}" for mark, text in MARKS)
        yield from heading(f"Part by part ({key})")
        rows = [(part, *(cell(board, part) for board in some)) for part in parts]
        yield from columns(("part", *(board.tried.name for board in some)), rows)


def side_by_side(
    parts: Sequence[str], boards: Sequence[RankedBoard]
) -> Iterator[list[RankedBoard]]:
    """Boards in bunches whose columns fit the terminal, one at least."""
    first = 4 + max((len(part) for part in parts), default=0)
    bunch: list[RankedBoard] = []
    used = first
    for board in boards:
        texts = (board.tried.name, *(cell(board, part) for part in parts))
        wide = 2 + max(map(len, texts))
        if bunch and used + wide > WIDTH.get():
            yield bunch
            bunch, used = [], first
        bunch.append(board)
        used += wide
    if bunch:
        yield bunch


def totals(answer: CompareAnswer, boards: Sequence[RankedBoard]) -> Iterator[str]:
    """
    A line a board; what all boards meet in full is left out.

    Where the columns do not fit the terminal, there are several tables with the same first one.
    """
    yield from heading(f"Totals ({legend(boards, zeros=False)})")
    head, rows = table(answer, boards, zeros=False)
    widths = [2 + max(len(row[place]) for row in (head, *rows)) for place in range(len(head))]
    start = 1
    while start < len(head):
        end = start + 1
        while end < len(head) and widths[0] + sum(widths[start : end + 1]) <= WIDTH.get():
            end += 1
        some = [(row[0], *row[start:end]) for row in rows]
        yield from columns((head[0], *head[start:end]), some)
        start = end
