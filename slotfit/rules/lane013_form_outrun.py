"""LANE013: link faster than its connector usually carries."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.forms import FORMS


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link of a later generation than the form's practical newest."""
    form = FORMS[trial.site.receptacle.form]
    fastest = max(
        (link.generation or 0 for link in trial.links if link.lanes and link.bus == "pcie"),
        default=0,
    )
    if form.max_generation is None or fastest <= form.max_generation:
        return
    fact = Fact(
        f"{trial.site.id}: generation {fastest} over {form.name}",
        f"{trial.site.id} carries generation {fastest} over its {form.name} connector",
        "the board's and the cable's data sheets; or load the link and look at LnkSta and the "
        "corrected errors in `lspci -vv`",
        trial.site.receptacle.span("form"),
    )
    yield Doubt(RULE.id, fact)


RULE = SeatRule(
    id="LANE013",
    title="link faster than its connector usually carries",
    why="A connector is made for a rate; beyond it a link may work, fall back, or err.",
    source="the document named beside each form in standards/forms.py",
    judge=judge,
)
