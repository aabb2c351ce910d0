"""FIT001: plug of another form."""

from collections.abc import Iterator

from slotfit.model.reason import Cited, No, Verdict, Wording
from slotfit.rule import SeatRule, Trial, Unheld
from slotfit.standards.forms import PAIRS, fit_of, plug_fits


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug whose form the receptacle does not take."""
    plug, receptacle = trial.part.spec.plug.form, trial.receptacle.spec.form
    if plug_fits(plug, receptacle):
        return
    known = PAIRS.get((plug, receptacle))
    yield RULE.no(
        "form",
        trial.named("part", "receptacle"),
        trial.said("part.plug.form", "receptacle.form"),
        {"known": known.reason if known else ""},
        plug=plug,
        form=receptacle,
    )


def unheld(one: Unheld) -> Iterator[No]:
    """Nothing is held to a receptacle of another form on a part."""
    if one.fits or one.is_own:
        return
    plug, receptacle = one.part.spec.plug.form, one.receptacle.spec.form
    facts = (
        Cited("part", one.part.id, one.part.spec, "plug.form"),
        Cited("receptacle", one.receptacle.id, one.receptacle.spec, "form"),
    )
    if one.seated is not None:
        yield RULE.no("pair", {}, facts, why=fit_of(plug, receptacle).reason)
        return
    names = {"part": one.part.id, "receptacle": one.receptacle.id}
    yield RULE.no("form", names, facts, {"known": ""}, plug=plug, form=receptacle)


RULE = SeatRule(
    id="FIT001",
    title="plug of another form",
    why="A plug goes only into the receptacle made for it; adapters are parts of their own.",
    source="the documents named beside each form and pair in standards/forms.py",
    says={
        "form": Wording("the plug of {part} is {plug} and {receptacle} is {form}", "{known}"),
        "pair": Wording("{why}"),
    },
    unheld=unheld,
    judge=judge,
)
