"""FIT016: air mover of another mount."""

from collections.abc import Iterator

from slotfit.model.part import PartReceptacle, PartSpec
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """An air mover on a card whose mount it is not made for, or of which that is not known."""
    place, takes = trial.receptacle.spec, trial.part.spec.mounts
    if place.form != "cooling-mount" or not isinstance(place, PartReceptacle):
        return
    names = {**trial.named("kind"), "card": trial.problem.part[trial.receptacle.owner].spec.id}
    if place.mount is None or takes is None:
        missing = "receptacle.mount" if place.mount is None else "kind.mounts"
        yield RULE.doubt("fits", names, trial.said(missing))
    elif place.mount not in takes:
        facts = trial.said("part.mounts", "receptacle.mount")
        names = {**trial.named("part"), "card": trial.receptacle.owner}
        yield RULE.no("shape", names, facts, mount=place.mount)


def has_silent_mount(part: PartSpec) -> bool:
    """Whether it has a place for an air mover of which nobody has said the shape."""
    return any(one.form == "cooling-mount" and one.mount is None for one in part.receptacles)


RULE = SeatRule(
    id="FIT016",
    title="air mover of another mount",
    why="Blowers and ducts are made for the end of a double-width or single-width card, fans for "
    "the heat sink of a small one: one does not go onto the other.",
    source="common practice, no source",
    says={"shape": Wording("{part} is not made for the mount of {card} ({mount})")},
    looks={
        "fits": Look(
            "{kind}: fits {card}",
            "{kind} can be mounted on {card}",
            "its maker names the cards that it is made for; else hold it against the card's end or "
            "heat sink: width and screw holes must meet",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "part",
            "mounts",
            lambda part: part.plug.form == "cooling-mount" and part.mounts is None,
            "which mounts it is made for is not said, so whether it goes onto a card is in doubt",
            "its maker names the cards; `mounts` lists the words that those cards have as `mount`",
        ),
        Gap(
            "part",
            "receptacles",
            has_silent_mount,
            "the shape of its place for an air mover (`mount`) is not said, so which one goes "
            "there is in doubt",
            "look at the card's end or heat sink: width and screw holes",
        ),
    ),
    judge=judge,
)
