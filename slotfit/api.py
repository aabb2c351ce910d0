"""What slotfit can do, as functions; the command line only parses, calls and prints."""

from slotfit.answers.check.check import check
from slotfit.answers.check.every import carriers
from slotfit.answers.no_plan.choices import elsewhere, equally_good, if_false
from slotfit.answers.no_plan.explain import explain
from slotfit.answers.place.plan import place, preferring, refereed, seats, state_all
from slotfit.answers.sequence.plan import goal_of, sequence
from slotfit.answers.sequence.pull_first import pull_first

__all__ = [
    "carriers",
    "check",
    "elsewhere",
    "equally_good",
    "explain",
    "goal_of",
    "if_false",
    "place",
    "preferring",
    "pull_first",
    "refereed",
    "seats",
    "sequence",
    "state_all",
]
