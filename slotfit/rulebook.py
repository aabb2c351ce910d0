"""Every rule, in the order of its id: those of the hardware, and those of the build's wishes."""

from __future__ import annotations

from slotfit.hardware_rules import HARDWARE_RULES
from slotfit.rule import PlanRule, Rule, SeatRule
from slotfit.rules import (
    lane002_too_few_endpoints,
    wish001_not_among_the_named,
    wish002_banned,
    wish003_other_machine,
    wish004_far_from_processor,
    wish005_not_together,
    wish006_not_apart,
    wish007_required_part_missing,
    wish008_machine_retired,
    wish009_part_retired,
    wish010_place_unknown,
)

WISH_RULES: tuple[Rule, ...] = (
    lane002_too_few_endpoints.RULE,
    wish001_not_among_the_named.RULE,
    wish002_banned.RULE,
    wish003_other_machine.RULE,
    wish004_far_from_processor.RULE,
    wish005_not_together.RULE,
    wish006_not_apart.RULE,
    wish007_required_part_missing.RULE,
    wish008_machine_retired.RULE,
    wish009_part_retired.RULE,
    wish010_place_unknown.RULE,
)

RULES: tuple[Rule, ...] = tuple(sorted((*HARDWARE_RULES, *WISH_RULES), key=lambda rule: rule.id))

SEAT_RULES: tuple[SeatRule, ...] = tuple(rule for rule in RULES if isinstance(rule, SeatRule))
PLAN_RULES: tuple[PlanRule, ...] = tuple(rule for rule in RULES if isinstance(rule, PlanRule))
BY_ID: dict[str, Rule] = {rule.id: rule for rule in RULES}
