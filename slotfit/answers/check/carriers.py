"""What `carriers` shows: kinds of carrier for each receptacle, and the drives they show."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from slotfit.answers.check.advice import rate
from slotfit.answers.check.answer import Verdict, Word
from slotfit.answers.check.bench import Bench
from slotfit.answers.check.question import Question
from slotfit.answers.check.verdict import order, verdicts
from slotfit.answers.check.view import SCHEMA_VERSION
from slotfit.answers.check.words import setting_text
from slotfit.answers.names import about, board_of, gb_s, label, segments_text, socket_name
from slotfit.answers.text_layout import bullet, columns, fill, heading
from slotfit.listing import natural
from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem, Receptacle
from slotfit.rule import PlanRule, SeatRule

Kind = tuple[object, ...]


@dataclass(frozen=True)
class Choice:
    """The best carrier of its kind in one receptacle."""

    part: PartSpec
    verdict: Verdict
    forms: tuple[str, ...]
    """Forms of socket that carriers of the kind come with."""


@dataclass(frozen=True)
class Slot:
    """One receptacle and what would show drives in it, the most first."""

    receptacle: Receptacle
    problem: Problem
    choices: tuple[Choice, ...]


def kind_of(spec: PartSpec) -> Kind:
    """What tells one kind of carrier from another: how many drives on which lanes, and how."""
    links = tuple((link.at, link.lanes) for link in spec.links)
    return (spec.wiring, spec.plug.form, spec.plug.width, links, len(spec.receptacles))


def by_slot(
    questions: Iterable[Question],
    seat_rules: Sequence[SeatRule],
    plan_rules: Sequence[PlanRule],
) -> tuple[Slot, ...]:
    """One question a carrier; receptacles that take none are left out."""
    tried: dict[str, dict[Kind, list[Choice]]] = {}
    found: dict[str, tuple[Receptacle, Problem]] = {}
    for question in questions:
        spec = question.part.spec
        forms = tuple(dict.fromkeys(socket.form for socket in spec.receptacles))
        for verdict in verdicts(Bench(question, seat_rules, plan_rules)):
            if verdict.word is not Word.NO:
                found[verdict.receptacle.id] = (verdict.receptacle, question.problem)
                kinds = tried.setdefault(verdict.receptacle.id, {})
                kinds.setdefault(kind_of(spec), []).append(Choice(spec, verdict, forms))
    slots = [
        Slot(*found[name], tuple(sorted(map(best_of, kinds.values()), key=worth)))
        for name, kinds in tried.items()
    ]
    return tuple(sorted(slots, key=in_sight))


def best_of(alike: list[Choice]) -> Choice:
    """The best of one kind, with every form of socket that the kind comes with."""
    best = min(alike, key=worth)
    forms = dict.fromkeys(form for choice in alike for form in choice.forms)
    return Choice(best.part, best.verdict, tuple(sorted(forms)))


def worth(choice: Choice) -> tuple[object, ...]:
    """Most drives first, for certain before perhaps; then the fastest, then the plainest."""
    verdict = choice.verdict
    outcome = verdict.outcome
    if outcome is None:
        return (1,)
    perhaps = not outcome.certain
    size = (choice.part.wiring != "passive", choice.part.plug.width or 0)
    return (0, -outcome.alive, perhaps, -rate(outcome), size, order(outcome), choice.part.id)


def in_sight(slot: Slot) -> tuple[object, ...]:
    """Slots of the row from left to right, then the rest."""
    spec = slot.receptacle.spec
    return (not spec.row, spec.position if spec.row else 0, natural(slot.receptacle.id))


@dataclass(frozen=True, slots=True)
class CarrierView:
    """One kind of carrier in one receptacle."""

    part: str
    """The best of its kind in the catalog."""
    kind: str
    """How it is wired, its connector, and the sockets such carriers come with."""
    seen: int
    total: int
    word: str
    each_mb_s: int | None
    """What a drive has while the others rest; none if the speed is not known."""
    together_mb_s: int | None
    """What all drives have together where they share a link; none if they share none."""
    setting: str | None


@dataclass(frozen=True, slots=True)
class SlotView:
    """One receptacle."""

    receptacle: str
    label: str
    about: str
    carriers: tuple[CarrierView, ...]


@dataclass(frozen=True, slots=True)
class CarriersView:
    """The whole answer."""

    schema_version: int
    board: str
    board_name: str
    invented: bool
    slots: tuple[SlotView, ...]


def carriers_view_of(machine: Problem, slots: Sequence[Slot]) -> CarriersView:
    """Everything it shows."""
    return CarriersView(
        SCHEMA_VERSION,
        *board_of(machine),
        any(machine.board.invented for machine in machine.machines),
        tuple(slot_view(slot) for slot in slots),
    )


def slot_view(slot: Slot) -> SlotView:
    """One receptacle."""
    return SlotView(
        slot.receptacle.id,
        label(slot.receptacle),
        about(slot.problem, slot.receptacle),
        tuple(carrier_view(choice) for choice in slot.choices),
    )


def carrier_view(choice: Choice) -> CarrierView:
    """One kind of carrier."""
    outcome = choice.verdict.outcome
    alive = [one for one in outcome.counted if one.alive] if outcome else []
    rates = [one.mb_s for one in alive]
    up = (
        next((one for one in outcome.endpoints if one.kind == "upwards"), None) if outcome else None
    )
    each = None if None in rates else min((rate for rate in rates if rate), default=None)
    shared = up.mb_s if up else None
    return CarrierView(
        part=choice.part.id,
        kind=kind_text(choice),
        seen=len(alive),
        total=outcome.total if outcome else 0,
        word=choice.verdict.word.value,
        each_mb_s=min(each, shared) if each and shared else each,
        together_mb_s=shared,
        setting=setting_text(outcome) if outcome and outcome.change else None,
    )


def kind_text(choice: Choice) -> str:
    """`passive x4+x4+x4+x4, x16 card, for M.2 or U.2`."""
    plug = choice.part.plug
    card = f"x{plug.width} card" if plug.width else plug.form
    forms = " or ".join(socket_name(form) for form in choice.forms)
    return f"{wired(choice.part)}, {card}, for {forms}"


def wired(spec: PartSpec) -> str:
    """`switch on x8`, `passive 4x4`, or where its links start if they leave gaps."""
    lanes = [link.lanes for link in spec.links]
    if spec.wiring == "switch":
        return f"switch on {segments_text(lanes)}"
    starts = [link.at for link in spec.links]
    packed = [sum(lanes[:number]) for number in range(len(lanes))]
    where = "" if starts == packed else f" at lanes {' '.join(map(str, starts))}"
    return f"passive {segments_text(lanes)}{where}"


def carriers_text(view: CarriersView) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: CarriersView) -> Iterator[str]:
    """Receptacle by receptacle."""
    invented = " (invented)" if view.invented else ""
    yield from fill(f"{view.board}: {view.board_name}{invented}")
    if not view.slots:
        yield ""
        yield "No receptacle takes any carrier of the catalog."
    for alike in grouped(view.slots):
        yield from block(alike)


def grouped(slots: tuple[SlotView, ...]) -> list[list[SlotView]]:
    """Receptacles with the same choice, in the order of the first."""
    found: dict[object, list[SlotView]] = {}
    for one in slots:
        rows = [
            (row.kind, row.seen, row.word, row.each_mb_s, bool(row.setting)) for row in one.carriers
        ]
        found.setdefault((one.about, tuple(rows)), []).append(one)
    return [*found.values()]


def block(alike: list[SlotView]) -> Iterator[str]:
    """One table, for all receptacles it holds for."""
    first = alike[0]
    yield from heading(", ".join(one.label for one in alike))
    yield from fill(("each: " if len(alike) > 1 else "") + first.about, "  ")
    settings = list(dict.fromkeys(row.setting for row in first.carriers if row.setting))
    head = ("drives seen", "GB/s each", "set", "carrier")
    yield from columns(head, [row_of(row, settings) for row in first.carriers])
    for number, setting in enumerate(settings, 1):
        yield from bullet(f"({number}) {setting}" + (f" ({first.label})" if len(alike) > 1 else ""))


def row_of(row: CarrierView, settings: list[str]) -> tuple[str, ...]:
    """One kind of carrier."""
    seen = f"{row.seen} of {row.total}"
    if row.word == "not known":
        seen = f"perhaps {seen}"
    each = "?" if row.each_mb_s is None else gb_s(row.each_mb_s)
    if row.together_mb_s:
        each += f", all {gb_s(row.together_mb_s)}"
    number = f"({settings.index(row.setting) + 1})" if row.setting else ""
    return (seen, each, number, row.kind)
