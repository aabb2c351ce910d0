"""How places, settings and links on the way are called."""

from __future__ import annotations

from slotfit.answers.names import links_words, printed
from slotfit.answers.place.of_plan import planned_link
from slotfit.answers.sequence.answer import SettingChangeView
from slotfit.model.board import Arrangement
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.model.windows import Change
from slotfit.rule import gets

BESIDE = "beside the machines"

CHOSEN = ("setting", "jumper")
"""Ways to pick an arrangement that somebody has to do, and to undo."""


def place_name(problem: Problem, site_id: str | None, *, machine: bool = False) -> str:
    """`SLOT 3`, `SLOT 3 of fog`, `m2a of plates`; an undescribed place goes by the file's name."""
    if site_id is None:
        return BESIDE
    site = problem.site.get(site_id)
    if site is None:
        return site_id
    label = printed(site.receptacle)
    if site.on_board:
        return f"{label} of {site.owner}" if machine and len(problem.rigs) > 1 else label
    return f"{label} of {problem.item[site.owner].body}"


def socket_of(problem: Problem, site_id: str | None) -> tuple[str, str]:
    """The part whose socket a place is, and the socket's name; empty for a board."""
    site = problem.site.get(site_id or "")
    if site is None or site.on_board:
        return "", ""
    owner = problem.item[site.owner].body
    return owner, printed(site.receptacle)


def origin_name(problem: Problem, item: str, site_id: str | None) -> str:
    """Where an item comes from; before the first window perhaps from a machine not described."""
    old = problem.today.get(item)
    if site_id is None and old is not None and old not in problem.site:
        return old
    return place_name(problem, site_id, machine=True)


def link_name(seat: Seat) -> str:
    """What a part trains at; empty where it has no links."""
    return links_words([*map(planned_link, seat.links)]) if seat.links else ""


def way_of(problem: Problem, group_name: str, way_id: str) -> Arrangement:
    """An arrangement by its names."""
    machine, _, group_id = group_name.partition("/")
    groups = problem.rig[machine].board.lane_groups
    group = next(group for group in groups if group.id == group_id)
    return next(way for way in group.arrangements if way.id == way_id)


def setting_name(problem: Problem, group_name: str, way_id: str) -> str:
    """What the menu says, or who gets what."""
    way = way_of(problem, group_name, way_id)
    return way.setting or gets(way)


def change_view(problem: Problem, change: Change) -> SettingChangeView:
    """One lane group to be arranged otherwise; a choice that was made has to be taken back."""
    before = way_of(problem, change.group, change.before)
    after = way_of(problem, change.group, change.after)
    undo = before.chosen_by in CHOSEN and after.chosen_by not in CHOSEN
    return SettingChangeView(
        machine=change.group.partition("/")[0],
        group=change.group.partition("/")[2],
        before=before.setting or gets(before),
        after=f"back to what the board does by itself: {gets(after)}"
        if undo
        else after.setting or gets(after),
        how=before.chosen_by if undo else after.chosen_by,
    )
