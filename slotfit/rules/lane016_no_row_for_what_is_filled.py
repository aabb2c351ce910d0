"""LANE016: no arrangement named for what is plugged in."""

from collections.abc import Iterator

from slotfit.hardware.training import calls_for, may_be_empty
from slotfit.model.board import LaneGroup
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, arrangement_of, division


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat under a row of the manual that names receptacles which may be empty."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.chosen_by != "presence" or not trial.links:
        return
    group = trial.machine.group_of[trial.receptacle.spec.id]
    facts = (Cited("arrangement", str(chosen.id), chosen, "gives"),)
    for name in may_be_empty(group, chosen):
        empty = trial.problem.receptacle_id(trial.machine.id, name)
        about = {"group": str(trial.upstream.group), "arrangement": str(chosen.id)}
        if empty != trial.receptacle.id:
            names, told = {**about, "receptacle": empty}, {"division": division(chosen)}
            yield RULE.doubt("empty", names, facts, told, settled_in=empty)


def is_short_of_rows(group: LaneGroup) -> bool:
    """Whether something may be plugged in that no row names."""
    ways = (way for way in group.arrangements if way.id in calls_for(group))
    return any(may_be_empty(group, way) for way in ways)


RULE = SeatRule(
    id="LANE016",
    title="no arrangement named for what is plugged in",
    why="A manual's table of slots has a row for each way of filling them that it thinks of; of "
    "any other way nobody has said what arrives.",
    source="what a row is: our own word; desktop manuals on x16 or x8+x8, as quoted",
    looks={
        "empty": Look(
            "{group}: {arrangement} without {receptacle}",
            "lanes are divided as {division} with {receptacle} empty as well",
            "the board manual's slot table; or leave {receptacle} empty, fit the others, and count "
            "the links with `lspci`; then write an arrangement for just what is filled",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "lane group",
            "arrangements",
            is_short_of_rows,
            "which lanes arrive where some of the receptacles that share them are filled is not "
            "said",
            "the manual's slot table has a row for each way of filling them: write each as an "
            "arrangement, `chosen_by: presence`; where it has none, fit a part so and count the "
            "links with `lspci`",
            changes=("place", "check", "sequence", "compare"),
        ),
    ),
    judge=judge,
)
