"""COOL001: air over a passive card not known."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, air_over
from slotfit.standards.power import COOL_SOURCE, COOL_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A passive card where nobody has said how much air moves, or how much it needs."""
    spec = trial.part.spec
    if may_be_too_weak(trial):
        card = trial.problem.part[trial.receptacle.owner].spec.id
        facts = trial.said("kind.gives_airflow_lfm")
        yield RULE.doubt("mover", {**trial.named("kind"), "card": card}, facts)
    hot = spec.draw_w > COOL_W
    if spec.cooling is None and spec.plug.form == "cem" and (hot or spec.airflow_lfm):
        names = trial.named("receptacle", "kind")
        yield RULE.doubt("cooling", names, trial.said("kind.cooling"))
    if spec.is_need_unknown:
        yield from need_unknown(trial)
    elif spec.needs_lfm and trial.air_lfm is None:
        yield air_unknown(trial, spec.needs_lfm)


def need_unknown(trial: Trial) -> Iterator[Verdict]:
    """
    A warm passive part of which nobody has said how much air it needs.

    Of a drive that is asked only where no air moves at all: elsewhere its maker would have said.
    """
    names, facts = trial.named("receptacle", "kind"), trial.said("kind.airflow_lfm")
    is_drive = trial.part.spec.part_class == "drive"
    if trial.air_lfm == 0:
        mounted = () if is_drive else movers(trial, 0)
        yield RULE.doubt("still", names, facts, settled_by=mounted)
    if not is_drive:
        yield RULE.doubt("need", names, facts)


def air_unknown(trial: Trial, needed: float) -> Verdict:
    """Nobody has said how much air moves here, or over the bay that the drive is in."""
    settled_by = movers(trial, needed)
    if trial.in_bay:
        facts = trial.said("chassis.bay_airflow_lfm") or trial.said("machine.chassis")
        return RULE.doubt("bays", trial.named("machine"), facts, needed=needed)
    names, facts = trial.named("receptacle"), trial.said("receptacle.airflow_lfm")
    return RULE.doubt("air", names, facts, settled_by=settled_by, needed=needed)


def may_be_too_weak(trial: Trial) -> bool:
    """Whether a card needs the air of a mover of which nobody has said how much it gives."""
    spec, owner = trial.part.spec, trial.problem.part.get(trial.receptacle.owner)
    if trial.receptacle.spec.form != "cooling-mount" or owner is None:
        return False
    needed, root = owner.spec.needs_lfm, trial.problem.receptacle[trial.upstream.root]
    needed = 1 if owner.spec.is_need_unknown else needed
    if spec.gives_airflow_lfm is not None or not needed:
        return False
    air = air_over(trial.problem, root, trial.machine.id)
    return trial.upstream.depth > 1 or (air is not None and air < needed)


def movers(trial: Trial, needed: float) -> tuple[str, ...]:
    """Air movers that blow enough: one on the card settles the matter."""
    return tuple(
        part.id
        for part in trial.problem.parts
        if part.spec.plug.form == "cooling-mount" and (part.spec.gives_airflow_lfm or 0) >= needed
    )


def is_need_unknown(spec: PartSpec) -> bool:
    """Whether nobody has said how much air a warm passive part needs."""
    return spec.is_need_unknown and spec.part_class != "drive"


def is_cooling_unknown(spec: PartSpec) -> bool:
    """Whether nobody has said how a hot card is cooled."""
    return spec.cooling is None and spec.is_card and spec.draw_w > COOL_W


RULE = SeatRule(
    id="COOL001",
    title="air over a passive card not known",
    why="A passive card throttles or shuts down without moving air; a blower or duct on it that "
    "gives enough settles the matter.",
    source=f"accelerator card data sheet 683226 5.1, as quoted; {COOL_SOURCE}",
    looks={
        "air": Look(
            "{receptacle}: {needed:g} LFM of air",
            "{needed:g} LFM of air move over {receptacle}",
            "the chassis' data sheet, or a hand-held anemometer at the slot with the lid closed: "
            "over a tower's slots far less moves than its fans' labels add up to; if in doubt "
            "mount a blower or duct",
        ),
        "bays": Look(
            "bays of {machine}: {needed:g} LFM of air",
            "{needed:g} LFM of air move over the drive bays of {machine}",
            "the chassis' data sheet, or the drive's own temperature after an hour of work",
        ),
        "still": Look(
            "{receptacle}: {kind} in still air",
            "{kind} stays cool in {receptacle}, where no air moves",
            "seldom so: its data sheet gives linear feet a minute, and a card that needs none says "
            "so (`airflow_lfm: 0`); else it needs a fan, a blower or another place",
            decides=True,
            likely_false=True,
        ),
        "need": Look(
            "{receptacle}: air enough for {kind}",
            "the air over {receptacle} is enough for {kind}",
            "the card's data sheet gives linear feet a minute for an inlet temperature",
        ),
        "mover": Look(
            "{kind}: air enough for {card}",
            "{kind} gives {card} air enough",
            "its data sheet, or a hand-held anemometer at the card's fins while it blows",
        ),
        "cooling": Look(
            "{receptacle}: {kind} stays cool",
            "{kind} has a fan of its own, or the air over {receptacle} is enough for it",
            "look at the card: a heat sink without a fan or blower is passive; its data sheet then "
            "gives linear feet a minute for an inlet temperature",
        ),
    },
    gaps=(
        Gap(
            "part",
            "airflow_lfm",
            is_need_unknown,
            "how much air it needs is not said, so whether it stays cool is in doubt",
            "its data sheet gives linear feet a minute for an inlet temperature",
        ),
        Gap(
            "part",
            "cooling",
            is_cooling_unknown,
            "how it is cooled is not said, so nobody asks whether it has air enough",
            "look at it: a heat sink without a fan is `passive`",
        ),
        Gap(
            "part",
            "gives_airflow_lfm",
            lambda part: part.plug.form == "cooling-mount" and part.gives_airflow_lfm is None,
            "how much air it gives is not said, so whether a card under it stays cool is in doubt",
            "its data sheet, or a hand-held anemometer at the card's fins while it blows",
        ),
        Gap(
            "chassis",
            "bay_airflow_lfm",
            lambda case: case.bay_airflow_lfm is None and bool(case.bays),
            "how much air moves over the bays is not said, so a drive that asks for it is in doubt",
            "the data sheet, or a hand-held anemometer between the drives with the lid closed",
        ),
        Gap(
            "chassis",
            "airflow_lfm",
            lambda case: case.airflow_lfm is None,
            "how much air moves over the slots is not said, so every passive card is in doubt",
            "a hand-held anemometer at the slots with the lid closed, or the data sheet",
        ),
    ),
    judge=judge,
    counts_all=True,
)
