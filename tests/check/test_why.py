"""`why`: each way the question comes out, on builds small enough to see it at once."""

from __future__ import annotations

import pytest

from slotfit.answers.no_plan.changed import with_wish
from slotfit.answers.place.of_plan import place
from slotfit.answers.why.answer import WhyAnswer
from slotfit.answers.why.text import why_text
from slotfit.answers.why.why import why
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from tests.limits import SECONDS

SLOT = "form: cem, width: 16, open_end: false, from: cpu0, generation: 3, power_w: 75"
MACHINE = f"""
id: b
machines:
  - id: m
    airflow_lfm: 50
    board:
      id: board
      processors: [{{id: cpu0}}]
      rows: [{{id: r, positions: 4}}]
      receptacles:
        - {{id: wide, {SLOT}, row: r, position: 0, lanes: 8, splits: []}}
        - {{id: twin, {SLOT}, row: r, position: 1, lanes: 8, splits: []}}
        - {{id: narrow, {SLOT}, row: r, position: 2, lanes: 4, splits: []}}
        - {{id: short, {SLOT.replace("16", "4")}, row: r, position: 3, lanes: 4, splits: []}}
parts:
"""
CARD = (
    "thickness: 1, power: {slot_w: 10}, length_mm: 100, height_mm: 60, bracket: both, cooling: none"
)
BIG = f"{{id: big, plug: cem x8, links: x8, generation: 3, demand: 6, {CARD}}}"
SMALL = f"{{id: small, plug: cem x4, links: x4, generation: 3, demand: 1, {CARD}}}"
X16 = f"{{id: x16, plug: cem x16, links: x8, generation: 3, demand: 1, {CARD}}}"
HOT = (
    f"{{id: hot, plug: cem x4, links: x4, generation: 3, demand: 1, "
    f"airflow_lfm: 300, {CARD.replace('cooling: none', 'cooling: passive')}}}"
)


def asked(parts: str, part: str, receptacle: str, further: str = "") -> WhyAnswer:
    problem = load_build_text(MACHINE + parts + further, Catalog(()))
    answer = why(problem, part, receptacle, SECONDS)
    assert why_text(answer)
    return answer


def test_it_is_there() -> None:
    answer = asked(f"  - {{id: one, part: {BIG}, pin: wide}}\n", "one", "wide")
    assert answer.verdict.status == "there"
    assert "the best plan puts" in answer.verdict.headline


def test_a_seat_rule_forbids_it_and_every_reason_is_told() -> None:
    answer = asked(f"  - {{id: one, part: {BIG}, min_lanes: 8}}\n", "one", "short")
    assert answer.verdict.status == "forbidden"
    assert {reason.rule for reason in answer.more.reasons} == {"FIT002", "LANE003"}
    assert all(reason.where for reason in answer.more.reasons)


def test_the_price_is_the_bandwidth_that_is_lost() -> None:
    """x8 and x4 at gen 3 carry 7.1 and 3.5 GB/s: 2 x 2.5 GB/s of 6 each way are lost."""
    answer = asked(f"  - {{id: one, part: {BIG}}}\n", "one", "narrow")
    assert answer.verdict.status == "costs"
    (stage,) = [one for one in answer.more.stages if one.decides]
    assert (stage.stage, stage.before.value.value) == ("demand", 0)
    (change,) = answer.plan.parts
    assert (change.mb_s_before, change.mb_s_after) == (7092, 3546)
    assert stage.after.value.value == 2 * (6000 - change.mb_s_after)
    assert "one's link would carry 3.5 GB/s one way, not 7.1" in answer.verdict.headline


def test_an_equal_place_costs_nothing() -> None:
    cards = f"  - {{id: one, part: {BIG}}}\n"
    problem = load_build_text(MACHINE + cards, Catalog(()))
    cases = {one: why(problem, "one", one, SECONDS) for one in ("wide", "twin")}
    assert sorted(answer.verdict.status for answer in cases.values()) == ["as-good", "there"]


def test_who_loses_its_place_is_named_with_what_is_on_it() -> None:
    carrier = (
        "{id: carrier, class: carrier, plug: cem x16, links: x4, generation: 3, "
        f"receptacles: [{{id: a, form: m2-m, drive_lengths: [80], power_w: 15}}], {CARD}}}"
    )
    drive = "{id: d, class: drive, plug: m2-m, links: x4, generation: 3, length_mm: 80}"
    answer = asked(
        f"  - {{id: one, part: {BIG}}}\n"
        f"  - {{id: two, part: {X16}, only: [wide]}}\n"
        f"  - {{id: held, part: {carrier}, only: [twin]}}\n"
        f"  - {{id: drive, part: {drive}}}\n",
        "one",
        "twin",
    )
    assert answer.verdict.status == "crowds-out"
    (left,) = answer.more.left
    assert (left.item, left.with_it) == ("held", ("drive",))
    (reason,) = left.reasons
    assert reason.rule == "FIT003"
    assert reason.text.endswith("(taken by one)")
    assert "no place for held (and the part on it)" in answer.verdict.headline


def test_without_a_plan_there_is_nothing_to_compare() -> None:
    cards = "".join(f"  - {{id: one{n}, part: {X16}, only: [wide]}}\n" for n in range(2))
    answer = asked(cards, "one0", "wide")
    assert answer.verdict.status == "no-plan"
    assert "no plan" in answer.verdict.headline


def test_what_a_clause_forbids_even_alone_is_told() -> None:
    """A passive card of 300 LFM in air of 50 needs an air mover; there is none."""
    answer = asked(f"  - {{id: one, part: {HOT}, required: false}}\n", "one", "wide")
    assert answer.verdict.status == "forbidden"
    assert [reason.rule for reason in answer.more.reasons] == ["COOL002"]


@pytest.mark.parametrize("receptacle", ["wide", "twin", "narrow", "short"])
def test_every_seat_that_a_plan_can_have_has_an_answer(receptacle: str) -> None:
    cards = f"  - {{id: one, part: {SMALL}}}\n  - {{id: two, part: {BIG}}}\n"
    answer = asked(cards, "one", receptacle)
    assert answer.verdict.status in ("there", "as-good", "costs")
    assert (answer.verdict.status == "there") == (not answer.plan.parts)


TWO_WIDE = CARD.replace("thickness: 1", "thickness: 2")
CAPTURE = f"{{id: capture, plug: cem x16, links: x4, generation: 3, {TWO_WIDE}}}"
SOUND = (
    f"  - {{id: sound, part: {SMALL}}}\n"
    f"  - {{id: gpu, part: {X16}, only: [wide]}}\n"
    f"  - {{id: nic, part: {X16}, only: [twin, narrow]}}\n"
    f"  - {{id: capture, part: {CAPTURE}, only: [twin], required: false, weight: 2}}\n"
)


@pytest.mark.parametrize(
    "preferences", ["", "preferences: [bandwidth, reserve]\n", "preferences: [optional-parts]\n"]
)
def test_a_required_part_is_never_dropped_for_an_optional_one(preferences: str) -> None:
    """Gpu alone has to go: nic has narrow, once capture, which weighs as much as both, is out."""
    answer = asked(SOUND, "sound", "wide", preferences)
    assert answer.verdict.headline == "No: with sound in wide there is no place for gpu."
    (left,) = answer.more.left
    assert [reason.rule for reason in left.reasons] == ["FIT003"]
    assert left.reasons[0].text.endswith("(taken by sound)")


ROWS = """
      lane_groups:
        - id: pe
          from: cpu0
          generation: 4
          arrangements:
            - {id: one, gives: {s1: [16]}, chosen_by: presence, proof: documented}
            - {id: two, gives: {s1: [8], s2: [8]}, chosen_by: presence, proof: documented}
            - id: three
              gives: {s1: [8], s2: [4], s3: [4]}
              chosen_by: presence
              proof: documented
      receptacles:
        - {id: s1, form: cem, width: 16, open_end: false, row: r, position: 0, power_w: 75}
        - {id: s2, form: cem, width: 16, open_end: false, row: r, position: 1, power_w: 75}
        - {id: s3, form: cem, width: 16, open_end: false, row: r, position: 2, power_w: 75}
"""


def test_a_filling_that_no_row_of_the_table_names_is_a_doubt_and_no_refusal() -> None:
    """The table has rows for s1, s1 with s2, and all three: of s3 without s2 it says nothing."""
    machine = MACHINE.split("      receptacles:\n", maxsplit=1)[0] + ROWS.lstrip("\n") + "parts:\n"
    card = f"{{id: n, plug: cem x4, links: x4, generation: 3, demand: 1, {CARD}}}"
    problem = load_build_text(machine + f"  - {{id: n, part: {card}}}\n", Catalog(()))
    answer = why(problem, "n", "s3", SECONDS)
    assert answer.verdict.status == "costs"
    (stage,) = [one for one in answer.more.stages if one.decides]
    assert (stage.stage, stage.after.value.value) == ("unproven-facts", 1)
    found = place(with_wish(problem, "n", pin="s3"), SECONDS).watch.rests_on
    assert answer.plan.rests_on == found
    assert "Find out: the board manual's slot table" in " ".join(why_text(answer).split())
    assert [fact.statement for fact in found] == [
        "lanes are divided as 's1 x8, s2 x4, s3 x4' with s2 empty as well"
    ]
    assert "s3" not in place(problem, SECONDS).more.reasons[0].reason


DRIVE = "{id: d, class: drive, plug: m2-m, links: x4, generation: 3, length_mm: 80}"
HOLDER = (
    "{id: holder, class: carrier, plug: cem x16, links: x4, generation: 3, wiring: switch, "
    "receptacles: [{id: a, form: m2-m, drive_lengths: [80], power_w: 15, lanes: 4}, "
    "{id: b, form: m2-m, drive_lengths: [80], power_w: 15, lanes: 4}], " + CARD + "}"
)


def test_a_part_on_a_carrier_is_asked_about_like_any_other() -> None:
    cards = f"  - {{id: holder, part: {HOLDER}}}\n  - {{id: drive, part: {DRIVE}}}\n"
    found = {one: asked(cards, "drive", f"holder/{one}").verdict.status for one in ("a", "b")}
    assert found == {"a": "there", "b": "as-good"}


def test_a_socket_of_a_part_that_can_be_nowhere_says_so() -> None:
    cards = (
        f"  - {{id: holder, part: {HOLDER}, only: [short], required: false}}\n"
        f"  - {{id: drive, part: {DRIVE}, required: false}}\n"
    )
    answer = asked(cards, "drive", "holder/a")
    assert answer.verdict.status == "forbidden"
    assert "FIT002" in [reason.rule for reason in answer.more.reasons]


def test_a_retired_part_and_one_that_is_left_out_are_told_apart() -> None:
    cards = (
        f"  - {{id: old, part: {BIG}, required: false}}\n"
        f"  - {{id: spare, part: {X16}, required: false, only: [wide]}}\n"
        f"  - {{id: gpu, part: {X16}, only: [wide]}}\n"
    )
    retired = asked(cards, "old", "twin", "retire: [old]\n")
    assert [reason.rule for reason in retired.more.reasons] == ["WISH009"]
    crowds = asked(cards, "spare", "wide", "retire: [old]\n")
    assert crowds.verdict.headline == "No: with spare in wide there is no place for gpu."
    assert [one.item for one in crowds.plan.parts] == ["spare", "gpu"]
    assert [one.goes_from for one in crowds.plan.parts] == [None, "wide"]
