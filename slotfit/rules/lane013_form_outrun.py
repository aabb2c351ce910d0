"""LANE013: link faster than its connector usually carries."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.forms import FORMS


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link of a later generation than the form's practical newest."""
    form = FORMS[trial.receptacle.spec.form]
    fastest = max(
        (link.generation or 0 for link in trial.links if link.lanes and link.bus == "pcie"),
        default=0,
    )
    if form.max_generation is not None and fastest > form.max_generation:
        names, facts = trial.named("receptacle"), trial.said("receptacle.form")
        yield RULE.doubt("rate", names, facts, fastest=fastest, form=form.name)


RULE = SeatRule(
    id="LANE013",
    title="link faster than its connector usually carries",
    why="A connector is made for a rate; beyond it a link may work, fall back, or err.",
    source="the document named beside each form in standards/forms.py",
    looks={
        "rate": Look(
            "{receptacle}: generation {fastest} over {form}",
            "{receptacle} carries generation {fastest} over its {form} connector",
            "the board's and the cable's data sheets; or load the link and look at LnkSta and the "
            "corrected errors in `lspci -vv`",
        )
    },
    judge=judge,
)
