"""POW019: source of a carrier's 3.3 V not known."""

from collections.abc import Iterator

from slotfit.hardware.rails import m2_of, most_w, on_slots_3v3, parts_below
from slotfit.model.part import PartSpec
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.power import SLOT_3V3_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """An M.2 drive that, with others, may draw more than a slot gives at 3.3 V."""
    part = trial.part
    if not (part.spec.power and part.spec.power.slot_w):
        return
    below = parts_below(trial.problem, trial.upstream.carriers)
    for carrier in on_slots_3v3(below, part.spec.plug.form):
        silent = carrier.spec.makes_rails is None
        if silent and most_w(trial.problem, carrier, part) > SLOT_3V3_W:
            facts = (Cited("carrier", carrier.spec.id, carrier.spec, "makes_rails"),)
            yield RULE.doubt("converts", {"carrier": carrier.spec.id}, facts)


def is_silent(spec: PartSpec) -> bool:
    """A carrier of M.2 drives that does not say where their 3.3 V come from."""
    is_fed = spec.plug.form == "cem" and not spec.has_power_plugs
    return is_fed and bool(m2_of(spec)) and spec.makes_rails is None


RULE = SeatRule(
    id="POW019",
    title="source of a carrier's 3.3 V not known",
    why="A slot gives 9.9 W at 3.3 V: one drive or a small pair. More needs a carrier that makes "
    "3.3 V out of the slot's 12 V; the cheapest do not.",
    source="CEM 1.1 pp. 35-36: 3 A at 3.3 V, as quoted",
    looks={
        "converts": Look(
            "{carrier}: makes 3.3 V from 12 V",
            f"{{carrier}} makes 3.3 V out of the slot's 12 V for drives of more than {SLOT_3V3_W} "
            "W together",
            "look for a converter on it (a coil as large as a fingernail beside a chip), or its "
            "maker's page; without one, drives drop out when all are busy",
        )
    },
    gaps=(
        Gap(
            "part",
            "makes_rails",
            is_silent,
            "whether it makes 3.3 V out of the slot's 12 V is not said, so drives of more than "
            f"{SLOT_3V3_W} W together are in doubt",
            "look for a converter on it, or its maker's page; none: `makes_rails: []`",
        ),
    ),
    judge=judge,
    counts_all=True,
)
