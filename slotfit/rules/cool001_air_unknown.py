"""COOL001: air over a passive card not known."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, air_over
from slotfit.standards.power import STILL_AIR_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A passive card where nobody has said how much air moves, or how much it needs."""
    spec = trial.part.spec
    if may_be_too_weak(trial):
        card = trial.problem.part[trial.receptacle.owner].spec.id
        facts = trial.said("kind.gives_airflow_lfm")
        yield RULE.doubt("mover", {**trial.named("kind"), "card": card}, facts)
    names, hot = trial.named("receptacle", "kind"), spec.draw_w > STILL_AIR_W
    if spec.cooling is None and spec.plug.form == "cem" and (hot or spec.airflow_lfm):
        yield RULE.doubt("cooling", names, trial.said("kind.cooling"))
    if spec.cooling != "passive":
        return
    if spec.airflow_lfm is None:
        if hot:
            yield RULE.doubt("need", names, trial.said("kind.airflow_lfm"))
    elif spec.airflow_lfm > 0 and trial.air_lfm is None:
        needed = spec.airflow_lfm
        yield RULE.doubt(
            "air",
            trial.named("receptacle"),
            trial.said("receptacle.airflow_lfm"),
            settled_by=movers(trial, needed),
            needed=needed,
        )


def may_be_too_weak(trial: Trial) -> bool:
    """Whether a card needs the air of a mover of which nobody has said how much it gives."""
    spec, owner = trial.part.spec, trial.problem.part.get(trial.receptacle.owner)
    if trial.receptacle.spec.form != "cooling-mount" or owner is None:
        return False
    needed, root = owner.spec.needs_lfm, trial.problem.receptacle[trial.upstream.root]
    if spec.gives_airflow_lfm is not None or not needed:
        return False
    air = air_over(trial.problem, root, trial.machine.id)
    return trial.upstream.depth > 1 or (air is not None and air < needed)


def movers(trial: Trial, needed: float) -> tuple[str, ...]:
    """Air movers that blow enough: one on the card settles the matter."""
    parts = trial.problem.parts
    return tuple(part.id for part in parts if (part.spec.gives_airflow_lfm or 0) >= needed)


def is_need_unknown(spec: PartSpec) -> bool:
    """Whether nobody has said how much air a hot passive part needs."""
    hot = spec.draw_w > STILL_AIR_W
    return spec.cooling == "passive" and spec.airflow_lfm is None and hot


def is_cooling_unknown(spec: PartSpec) -> bool:
    """Whether nobody has said how a hot card is cooled."""
    return spec.cooling is None and spec.is_card and spec.draw_w > STILL_AIR_W


RULE = SeatRule(
    id="COOL001",
    title="air over a passive card not known",
    why="A passive card throttles or shuts down without moving air; a blower or duct on it that "
    "gives enough settles the matter.",
    source="accelerator card data sheet 683226 5.1, as quoted",
    looks={
        "air": Look(
            "{receptacle}: {needed:g} LFM of air",
            "{needed:g} LFM of air move over {receptacle}",
            "the chassis' data sheet, or a hand-held anemometer at the slot with the lid closed; "
            "if in doubt mount a blower or duct",
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
            "airflow_lfm",
            lambda case: case.airflow_lfm is None,
            "how much air moves over the slots is not said, so every passive card is in doubt",
            "a hand-held anemometer at the slots with the lid closed, or the data sheet",
        ),
    ),
    judge=judge,
)
