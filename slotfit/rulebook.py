"""
Every rule.

Those that forbid or darken are about what hardware can do. `check` asks by these alone: it asks
about parts for which nobody has wished a place. So does `sequence` on the way: wishes are for the
end of it.
"""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.problem import Machine
from slotfit.model.reason import No
from slotfit.rule import PlanRule, SeatRule, Unheld
from slotfit.rules import (
    cab001_cable_too_short,
    cab002_ends_alike,
    cab003_other_pinout,
    cab004_other_direction,
    cab005_port_multiplier,
    cab006_module_of_another_cage,
    cab007_run_out_of_reach,
    cab008_ports_share_one_speed,
    cab009_ends_at_odds,
    cool001_air_unknown,
    cool002_no_moving_air,
    cool003_no_room_for_the_air_mover,
    cool004_air_warmer_than_the_figure,
    cool005_modules_not_in_the_figure,
    cool006_heat_sink_in_the_neighbour,
    cool007_fan_and_header,
    cool008_module_not_known,
    cpu001_processor_absent,
    cpu002_first_socket_empty,
    cpu003_memory_of_another_type,
    cpu004_memory_out_of_order,
    cpu005_processor_without_memory,
    fit001_form_mismatch,
    fit002_connector_too_long,
    fit003_receptacle_shared,
    fit004_bodies_overlap,
    fit005_row_end,
    fit006_too_long,
    fit007_too_high,
    fit008_bracket_mismatch,
    fit009_overhang_obstructed,
    fit010_drive_length,
    fit011_in_each_others_way,
    fit012_bays_full,
    fit013_board_too_big,
    fit014_bays_unknown,
    fit015_room_beside_unknown,
    fit016_mount_of_another_shape,
    fit017_no_room_for_plugs,
    fit018_place_without_a_slot,
    fit019_cooler_too_high,
    fit020_cooler_over_slot,
    fit021_cooler_over_memory,
    fit022_heat_sink_under_a_card,
    fit023_room_under_a_card_unknown,
    fit025_bay_of_another_size,
    fit026_something_unknown,
    fit027_perhaps_in_use,
    iso001_isolation_unknown,
    iso002_guests_share_a_group,
    iso003_isolation_below_unknown,
    iso004_host_loses_device,
    iso005_sharing_impossible,
    iso006_drives_behind_an_array,
    lane001_no_lanes,
    lane002_too_few_endpoints,
    lane003_too_narrow,
    lane004_too_slow,
    lane005_arrangement_refuted,
    lane006_arrangement_unproven,
    lane007_lane_order_unknown,
    lane008_width_uncertain,
    lane009_generation_unknown,
    lane010_one_arrangement,
    lane011_presence_ignored,
    lane012_wires_unrated,
    lane013_form_outrun,
    lane014_refuted_chosen,
    lane015_shared_link_unknown,
    lane016_no_row_for_what_is_filled,
    lane017_wires_in_a_row,
    lane018_wires_slower_than_ends,
    lane019_needs_another_processor,
    lane020_two_processors_in_one_socket,
    lane021_absent_chosen,
    nest001_carrier_absent,
    nest002_companion_apart,
    nest003_own_receptacle,
    nest004_wide_port_apart,
    pow001_slot_power,
    pow002_slot_power_shared,
    pow003_supply_watts,
    pow004_aux_plugs,
    pow005_slot_unpowered,
    pow006_draw_unknown,
    pow007_base_load_unknown,
    pow008_plugs_unknown,
    pow009_plug_rating_unknown,
    pow010_slot_power_for_all_unknown,
    pow011_short_peak_unknown,
    pow012_short_peak,
    pow013_input_volts,
    pow014_smaller_rails,
    pow015_smaller_rails_unknown,
    pow016_no_twelve_volts,
    pow017_slot_3v3,
    pow018_held_off_by_3v3,
    pow019_slot_3v3_unknown,
    pow020_plugs_shared,
    pow021_adapter_unknown,
    pow022_cable_of_several_plugs,
    pow023_cables_unknown,
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

RULES: tuple[SeatRule | PlanRule, ...] = (
    cab001_cable_too_short.RULE,
    cab002_ends_alike.RULE,
    cab003_other_pinout.RULE,
    cab004_other_direction.RULE,
    cab005_port_multiplier.RULE,
    cab006_module_of_another_cage.RULE,
    cab007_run_out_of_reach.RULE,
    cab008_ports_share_one_speed.RULE,
    cab009_ends_at_odds.RULE,
    cool001_air_unknown.RULE,
    cool002_no_moving_air.RULE,
    cool003_no_room_for_the_air_mover.RULE,
    cool004_air_warmer_than_the_figure.RULE,
    cool005_modules_not_in_the_figure.RULE,
    cool006_heat_sink_in_the_neighbour.RULE,
    cool007_fan_and_header.RULE,
    cool008_module_not_known.RULE,
    cpu001_processor_absent.RULE,
    cpu002_first_socket_empty.RULE,
    cpu003_memory_of_another_type.RULE,
    cpu004_memory_out_of_order.RULE,
    cpu005_processor_without_memory.RULE,
    fit001_form_mismatch.RULE,
    fit002_connector_too_long.RULE,
    fit003_receptacle_shared.RULE,
    fit004_bodies_overlap.RULE,
    fit005_row_end.RULE,
    fit006_too_long.RULE,
    fit007_too_high.RULE,
    fit008_bracket_mismatch.RULE,
    fit009_overhang_obstructed.RULE,
    fit010_drive_length.RULE,
    fit011_in_each_others_way.RULE,
    fit012_bays_full.RULE,
    fit013_board_too_big.RULE,
    fit014_bays_unknown.RULE,
    fit015_room_beside_unknown.RULE,
    fit016_mount_of_another_shape.RULE,
    fit017_no_room_for_plugs.RULE,
    fit018_place_without_a_slot.RULE,
    fit019_cooler_too_high.RULE,
    fit020_cooler_over_slot.RULE,
    fit021_cooler_over_memory.RULE,
    fit022_heat_sink_under_a_card.RULE,
    fit023_room_under_a_card_unknown.RULE,
    fit025_bay_of_another_size.RULE,
    fit026_something_unknown.RULE,
    fit027_perhaps_in_use.RULE,
    iso001_isolation_unknown.RULE,
    iso002_guests_share_a_group.RULE,
    iso003_isolation_below_unknown.RULE,
    iso004_host_loses_device.RULE,
    iso005_sharing_impossible.RULE,
    iso006_drives_behind_an_array.RULE,
    lane001_no_lanes.RULE,
    lane002_too_few_endpoints.RULE,
    lane003_too_narrow.RULE,
    lane004_too_slow.RULE,
    lane005_arrangement_refuted.RULE,
    lane006_arrangement_unproven.RULE,
    lane007_lane_order_unknown.RULE,
    lane008_width_uncertain.RULE,
    lane009_generation_unknown.RULE,
    lane010_one_arrangement.RULE,
    lane011_presence_ignored.RULE,
    lane012_wires_unrated.RULE,
    lane013_form_outrun.RULE,
    lane014_refuted_chosen.RULE,
    lane015_shared_link_unknown.RULE,
    lane016_no_row_for_what_is_filled.RULE,
    lane017_wires_in_a_row.RULE,
    lane018_wires_slower_than_ends.RULE,
    lane019_needs_another_processor.RULE,
    lane020_two_processors_in_one_socket.RULE,
    lane021_absent_chosen.RULE,
    nest001_carrier_absent.RULE,
    nest002_companion_apart.RULE,
    nest003_own_receptacle.RULE,
    nest004_wide_port_apart.RULE,
    pow001_slot_power.RULE,
    pow002_slot_power_shared.RULE,
    pow003_supply_watts.RULE,
    pow004_aux_plugs.RULE,
    pow005_slot_unpowered.RULE,
    pow006_draw_unknown.RULE,
    pow007_base_load_unknown.RULE,
    pow008_plugs_unknown.RULE,
    pow009_plug_rating_unknown.RULE,
    pow010_slot_power_for_all_unknown.RULE,
    pow011_short_peak_unknown.RULE,
    pow012_short_peak.RULE,
    pow013_input_volts.RULE,
    pow014_smaller_rails.RULE,
    pow015_smaller_rails_unknown.RULE,
    pow016_no_twelve_volts.RULE,
    pow017_slot_3v3.RULE,
    pow018_held_off_by_3v3.RULE,
    pow019_slot_3v3_unknown.RULE,
    pow020_plugs_shared.RULE,
    pow021_adapter_unknown.RULE,
    pow022_cable_of_several_plugs.RULE,
    pow023_cables_unknown.RULE,
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

SEAT_RULES: tuple[SeatRule, ...] = tuple(rule for rule in RULES if isinstance(rule, SeatRule))
PLAN_RULES: tuple[PlanRule, ...] = tuple(rule for rule in RULES if isinstance(rule, PlanRule))

HARDWARE_SEAT_RULES: tuple[SeatRule, ...] = tuple(
    rule for rule in SEAT_RULES if rule.severity != "asks"
)
HARDWARE_PLAN_RULES: tuple[PlanRule, ...] = tuple(
    rule for rule in PLAN_RULES if rule.severity != "asks"
)


def against_unheld(unheld: Unheld) -> Iterator[No]:
    """What rules say against a part in a receptacle that it was not even held to."""
    return (no for rule in RULES if rule.unheld for no in rule.unheld(unheld))


def against_machine(machine: Machine) -> Iterator[No]:
    """What rules say against a machine, whatever goes into it."""
    return (no for rule in RULES if rule.machine for no in rule.machine(machine))


BY_ID: dict[str, SeatRule | PlanRule] = {rule.id: rule for rule in RULES}
RANK: dict[str, int] = {rule.id: rank for rank, rule in enumerate(RULES)}
"""Rule -> its place in the order in which they are told."""


def is_wish(no: No) -> bool:
    """Whether it is asked for in the build file, rather than being so."""
    return BY_ID[no.rule].severity == "asks"


def keeps_out(no: No) -> bool:
    """Whether the part cannot even be there; else it can, and is not seen or of no use."""
    return BY_ID[no.rule].severity != "darkens"
