"""FIT001: plug of another form."""

from collections.abc import Iterator

from slotfit.model.reason import Cited, No, Verdict, Wording
from slotfit.rule import SeatRule, Trial, Unheld
from slotfit.standards.forms import PAIRS, fit_of, plug_fits


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug whose form the receptacle does not take."""
    plug, receptacle = trial.item.part.plug.form, trial.site.receptacle.form
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
    plug, receptacle = one.item.part.plug.form, one.site.receptacle.form
    facts = (
        Cited("part", one.item.id, one.item.part, "plug.form"),
        Cited("receptacle", one.site.id, one.site.receptacle, "form"),
    )
    if one.seated is not None:
        yield RULE.no("pair", {}, facts, why=fit_of(plug, receptacle).reason)
        return
    names = {"part": one.item.id, "receptacle": one.site.id}
    yield RULE.no("form", names, facts, {"known": ""}, plug=plug, form=receptacle)


RULE = SeatRule(
    id="FIT001",
    title="plug of another form",
    why="A plug goes only into the receptacle made for it; adapters are parts of their own.",
    source="the documents named beside each form and pair in standards/forms.py, form_pairs.py",
    says={
        "form": Wording("the plug of {part} is {plug} and {receptacle} is {form}", "{known}"),
        "pair": Wording("{why}"),
    },
    unheld=unheld,
    judge=judge,
)
