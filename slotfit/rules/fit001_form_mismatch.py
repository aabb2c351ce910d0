"""FIT001: plug of another form."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.forms import PAIRS, plug_fits


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug whose form the receptacle does not take."""
    plug, receptacle = trial.item.part.plug, trial.site.receptacle
    if plug_fits(plug.form, receptacle.form):
        return
    known = PAIRS.get((plug.form, receptacle.form))
    yield Objection(
        RULE.id,
        f"the plug of {trial.item.id} is {plug.form} and {trial.site.id} is {receptacle.form}"
        + (f": {known.reason}" if known else ""),
        written(plug.span("form"), receptacle.span("form")),
    )


RULE = SeatRule(
    id="FIT001",
    title="plug of another form",
    why="A plug goes only into the receptacle made for it; adapters are parts of their own.",
    source="the documents named beside each form and pair in standards/forms.py, form_pairs.py",
    judge=judge,
)
