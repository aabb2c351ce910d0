"""Air a passive part needs, in linear feet a minute (LFM), and rules the trade gives."""

from dataclasses import dataclass

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, WORKED_OUT, Source

ACCELERATOR_SHEET = Source("accelerator card data sheet 683226", "5.1", AS_QUOTED)
ADAPTER_SHEET = Source("host adapter guide 820-6536", "appendix A", AS_QUOTED)


@dataclass(frozen=True, slots=True)
class AirNeed:
    """Air at the part for one inlet temperature."""

    inlet_c: int
    lfm: int
    source: Source


EXAMPLE_ACCELERATOR: tuple[AirNeed, ...] = (
    AirNeed(30, 270, ACCELERATOR_SHEET),
    AirNeed(35, 300, ACCELERATOR_SHEET),
    AirNeed(40, 360, ACCELERATOR_SHEET),
    AirNeed(45, 420, ACCELERATOR_SHEET),
    AirNeed(50, 510, ACCELERATOR_SHEET),
    AirNeed(55, 690, ACCELERATOR_SHEET),
)
"""One passive accelerator; its own sheet gives 660 to 690 at 55. Another needs its own sheet."""

EXAMPLE_ADAPTER = AirNeed(55, 200, ADAPTER_SHEET)
"""One host adapter of 12 W."""


def example_accelerator_lfm(inlet_c: float) -> int | None:
    """
    What the example accelerator needs: the row at or above; None above 55 degrees.

    >>> example_accelerator_lfm(42)
    420
    """
    return next((row.lfm for row in EXAMPLE_ACCELERATOR if inlet_c <= row.inlet_c), None)


STILL_AIR_W = 25
STILL_AIR_SOURCE = Source("", "what a slot gives any card seldom needs a fan", COMMON_PRACTICE)
"""A passive part that draws more needs moving air, even where nobody has said how much."""

FEET_A_MINUTE_IN_M_S = 0.3048 / 60
SQUARE_FOOT_MM2 = 304.8**2


def metres_a_second(lfm: float) -> float:
    """Air speed in m/s."""
    return lfm * FEET_A_MINUTE_IN_M_S


def lfm_through(flow_cfm: float, duct_mm2: float) -> float:
    """
    Air speed in LFM: flow in cubic feet a minute over the duct's cross-section in mm2.

    A fan's label gives its flow in free air; behind a card it moves a good deal less.
    """
    return flow_cfm * SQUARE_FOOT_MM2 / duct_mm2


LFM_SOURCE = Source(ACCELERATOR_SHEET.document, "flow over cross-section", AS_QUOTED)
UNITS_SOURCE = Source("", "1 foot = 0.3048 m", WORKED_OUT)


@dataclass(frozen=True, slots=True)
class AirRule:
    """A rule the trade gives, as a sentence."""

    name: str
    text: str
    source: Source


AIR_RULES: tuple[AirRule, ...] = (
    AirRule(
        "ducted",
        "A passive accelerator needs ducted air from front to back; it has no fan of its own.",
        ACCELERATOR_SHEET,
    ),
    AirRule(
        "desktop",
        "In a desktop a passive card overheats unless a fan is fitted to it.",
        Source("", "", COMMON_PRACTICE),
    ),
    AirRule(
        "blanks",
        "Fit a blank in every empty opening and bay and leave the air baffle in, "
        "so that air goes through the cards.",
        Source("", "", COMMON_PRACTICE),
    ),
    AirRule(
        "riser-brackets",
        "Riser brackets must be fitted even where the riser holds no card.",
        Source("rack server installation guide", "riser cards", AS_QUOTED),
    ),
)
