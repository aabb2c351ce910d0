"""CAB002: two ends that are alike."""

from collections.abc import Iterator

from slotfit.hardware.ends import is_free, plug_half, socket_half
from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.forms import CABLED, plug_fits


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug on a plug, or a socket on a socket; between two SATA ports lies a plain cable."""
    form = trial.receptacle.spec.form
    if not plug_fits(trial.part.spec.plug.form, form):
        return
    part, receptacle = plug_half(trial.part), socket_half(trial.problem, trial.receptacle)
    if form == "sata" and part == "plug":
        return
    if part is None:
        yield RULE.doubt("part", trial.named("kind"), trial.said("kind.plug.gender"), form=form)
    elif receptacle is None:
        names, facts = trial.named("receptacle"), trial.said("receptacle.gender")
        yield RULE.doubt("receptacle", names, facts, form=form)
    elif part == receptacle:
        facts = trial.said("part.plug", "receptacle.form")
        yield RULE.no(f"{part}s", trial.named("part", "receptacle"), facts)


def may_be_either(part: PartSpec) -> bool:
    """Whether nobody has said if it brings its cable or takes one."""
    return part.plug.form in CABLED and part.plug.gender is None and is_free(part) is None


RULE = SeatRule(
    id="CAB002",
    title="two ends that are alike",
    why="A cable ends in plugs, cards and backplanes have sockets: two plugs do not meet without a "
    "coupler, nor two sockets without a cable, and each of these is a part of its own.",
    source="free and fixed connectors of the documents named in standards/forms.py, from memory",
    says={
        "plugs": Wording("{part} and {receptacle} are both plugs of cables"),
        "sockets": Wording(
            "{part} and {receptacle} are both sockets and a cable goes between them"
        ),
    },
    looks={
        "part": Look(
            "{kind}: brings its cable",
            "the {form} end of {kind} is a plug, at the end of a cable that it brings",
            "look at it: if it has a socket, a cable has to be bought; write `reach_mm` where it "
            "brings one, else `gender`",
            decides=True,
        ),
        "receptacle": Look(
            "{receptacle}: plug or socket",
            "the {form} end {receptacle} is the other half of what goes there",
            "look at it: a plug is at the end of a cable, a socket is on a board or a housing",
            decides=True,
        ),
    },
    gaps=(
        Gap(
            "part",
            "plug",
            may_be_either,
            "whether it brings its cable or has a socket that takes one is not said",
            "look at it: `class: cable` or `reach_mm` where it brings one, else `gender: socket`",
        ),
    ),
    judge=judge,
)
