"""LANE002: fewer endpoints alive than wished."""

from collections.abc import Iterator, Mapping, Sequence

from slotfit.listing import listed
from slotfit.model.problem import Part
from slotfit.model.reason import No, Told, Verdict, Wording
from slotfit.rule import SeatRule, Trial
from slotfit.standards.forms import WITHOUT_LANES


def judge(trial: Trial) -> Iterator[Verdict]:
    """Fewer endpoints or sockets alive than the build file asks for; none at all is no wish."""
    wanted = trial.part.wish.endpoints
    if wanted is None or not any(link.lanes for link in trial.links):
        return
    alive = endpoints_alive(trial)
    if alive < wanted:
        dark = next((link.dark for link in trial.links if not link.lanes), None)
        yield RULE.no(
            "few",
            trial.named("part", "receptacle"),
            trial.said("wish.endpoints", "receptacle.lanes"),
            {"dark": dark},
            alive=alive,
            wanted=wanted,
        )


def endpoints_alive(trial: Trial) -> int:
    """Links that train; behind a switch or controller with a link up, every receptacle."""
    spec = trial.part.spec
    sockets = [one for one in spec.receptacles if one.form not in WITHOUT_LANES]
    if spec.wiring != "passive" and sockets:
        return len(sockets)
    return sum(link.lanes > 0 for link in trial.links)


def together(reasons: Sequence[No], _: Mapping[str, Part]) -> list[Told]:
    """`scans is to show 4 endpoints; it shows 1 or 2 in slot1 and 1 in slot3 and slot5`."""
    alike: dict[tuple[str, int], list[No]] = {}
    for reason in reasons:
        told = reason.told
        alike.setdefault((told["part"], told["wanted"]), []).append(reason)
    return [
        Told(tuple(same), f"{part} is to show {wanted} endpoints; it shows {shown(same)}")
        for (part, wanted), same in alike.items()
    ]


def shown(reasons: Sequence[No]) -> str:
    """How many endpoints where, receptacles of a kind together."""
    numbers: dict[str, set[str]] = {}
    for reason in reasons:
        told = reason.told
        numbers.setdefault(told["receptacle"], set()).add(str(told["alive"]))
    places: dict[str, list[str]] = {}
    for receptacle, found in numbers.items():
        places.setdefault(listed(found, "or"), []).append(receptacle)
    clauses = [f"{number} in {listed(names)}" for number, names in sorted(places.items())]
    return "; ".join(clauses) + ", by how the lanes there are divided"


RULE = SeatRule(
    id="LANE002",
    title="fewer endpoints alive than wished",
    why="Each endpoint needs a segment that starts at its lane.",
    source="build file, `endpoints`; PCI Express Base, link initialisation, as quoted",
    says={
        "few": Wording(
            "{part} shows {alive} of the {wanted} endpoints asked for in {receptacle}",
            "{dark}",
            words={"dark": lambda dark: str(dark or "it has no more")},
            together=together,
        )
    },
    judge=judge,
    severity="asks",
)
