"""POW016: 12 V that do not get here."""

from collections.abc import Iterator

from slotfit.hardware.rails import brings_12v, needed, parts_below
from slotfit.model.part import PartSpec
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that needs 12 V over an M.2 socket, which has 3.3 V alone."""
    rails = needed(trial.part.spec)
    if rails is not None and "12v" not in rails:
        return
    brought = brings_12v(parts_below(trial.problem, trial.upstream.carriers))
    if brought is True:
        return
    if brought:
        maker = brought.spec
        facts = (Cited("carrier", maker.id, maker, "makes_rails"),)
        yield RULE.doubt("made", {"carrier": maker.id}, facts)
    elif rails is None:
        yield RULE.doubt("need", trial.named("kind"), trial.said("kind.power.rails"))
    else:
        names = trial.named("part", "receptacle", "root")
        yield RULE.no("dead", names, trial.said("part.power", "receptacle.form"))


def is_silent(spec: PartSpec) -> bool:
    """An M.2 adapter for cards or larger drives that does not say whether it makes 12 V."""
    larger = any(one.form in ("cem", "u2", "u3") for one in spec.receptacles)
    on_m2 = spec.plug.form.startswith("m2-")
    return on_m2 and larger and not spec.has_power_plugs and spec.makes_rails is None


RULE = SeatRule(
    id="POW016",
    title="12 V that do not get here",
    why="An M.2 socket has 3.3 V and nothing else. A card that needs 12 V stays dead on it, unless "
    "the adapter has a plug of its own or makes 12 V.",
    source="PCI Express M.2, supplies, from memory; CEM 1.1 pp. 35-36, as quoted",
    says={
        "dead": Wording(
            "{part} needs 12 V and gets none in {receptacle}: {root} has 3.3 V alone, and nothing "
            "in between makes 12 V or has a plug"
        )
    },
    looks={
        "made": Look(
            "{carrier}: makes 12 V",
            "{carrier} makes 12 V out of the socket's 3.3 V, or what sits on it needs none",
            "a power plug or a converter (coil and chips) on the adapter, or its maker's page; "
            "where there is neither, a card that needs 12 V stays dead",
            decides=True,
        ),
        "need": Look(
            "{kind}: needs no 12 V",
            "{kind} needs 3.3 V alone from its slot",
            "its data sheet: supply voltages; few cards do without 12 V",
            decides=True,
        ),
    },
    gaps=(
        Gap(
            "part",
            "makes_rails",
            is_silent,
            "whether it makes 12 V out of the socket's 3.3 V is not said, so what needs 12 V on it "
            "is in doubt",
            "look for a power plug or a converter on it; none: `makes_rails: []`",
        ),
    ),
    judge=judge,
)
