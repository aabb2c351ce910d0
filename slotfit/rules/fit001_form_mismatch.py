"""FIT001: plug of another form."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.forms import plug_fits


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug whose form the receptacle does not take."""
    plug, receptacle = trial.item.part.plug, trial.site.receptacle
    if not plug_fits(plug.form, receptacle.form):
        yield Objection(
            RULE.id,
            f"{trial.item.id} has a {plug.form} plug and {trial.site.id} is a "
            f"{receptacle.form} receptacle",
            written(plug.span(), receptacle.span("form")),
        )


RULE = SeatRule(
    id="FIT001",
    title="plug of another form",
    why="A plug goes only into the receptacle made for it; adapters are parts of their own.",
    source="form table, standards/forms.py",
    judge=judge,
)
