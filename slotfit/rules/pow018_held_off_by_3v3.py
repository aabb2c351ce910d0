"""POW018: drive held off by 3.3 V."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial

DRIVES = ("sata", "sas")


def judge(trial: Trial) -> Iterator[Verdict]:
    """A drive that 3.3 V on contact 3 turn off, where there are any or may be."""
    part, here = trial.part.spec, trial.receptacle.spec.carries_3v3
    if part.plug.form not in DRIVES or part.part_class != "drive" or part.power_disable is False:
        return
    supply = trial.machine.power_supply
    if here is not None or supply is None:
        who, path, feeds = "receptacle", "receptacle.carries_3v3", here
    else:
        who, path, feeds = "supply", "supply.carries_3v3", supply.carries_3v3
    if part.power_disable and feeds:
        facts = trial.said("part.power_disable", path)
        yield RULE.no("off", {**trial.named("part"), "by": trial.named(who)[who]}, facts)
    elif part.power_disable and feeds is None:
        names = {**trial.named("kind"), "by": trial.named(who)[who]}
        yield RULE.doubt("feeds", names, trial.said(path))
    elif feeds:
        names = {**trial.named("kind"), "by": trial.named(who)[who]}
        yield RULE.doubt("drive", names, trial.said("kind.power_disable"))


RULE = SeatRule(
    id="POW018",
    title="drive held off by 3.3 V",
    why="Newer drives take 3.3 V on contact 3 of their power connector for the order to stay off; "
    "older supplies and backplanes have 3.3 V there all the time.",
    source="Serial ATA 3.3, power disable, from memory",
    says={"off": Wording("{part} stays off with 3.3 V on contact 3, and {by} has 3.3 V there")},
    looks={
        "feeds": Look(
            "{by}: no 3.3 V on contact 3",
            "{by} has no 3.3 V on contact 3 of {kind}",
            "measure contact 3 of the plug against ground, or try the drive: it must spin up; an "
            "adapter from a four-pin plug has no 3.3 V",
            decides=True,
        ),
        "drive": Look(
            "{kind}: runs with 3.3 V on contact 3",
            "{kind} has no power disable feature, as {by} has 3.3 V on contact 3",
            "the drive's data sheet, 'power disable' or 'PWDIS'; else try one: it must spin up",
            decides=True,
        ),
    },
    judge=judge,
)
