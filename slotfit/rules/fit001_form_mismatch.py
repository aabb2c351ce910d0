"""FIT001: plug of another form."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial
from slotfit.standards.forms import PAIRS, plug_fits


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


RULE = SeatRule(
    id="FIT001",
    title="plug of another form",
    why="A plug goes only into the receptacle made for it; adapters are parts of their own.",
    source="the documents named beside each form and pair in standards/forms.py, form_pairs.py",
    says={"form": Wording("the plug of {part} is {plug} and {receptacle} is {form}", "{known}")},
    judge=judge,
)
