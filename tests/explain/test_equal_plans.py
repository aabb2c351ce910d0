"""Equally good plans: the plain judge, which looks at every plan, counts the same ones."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations, product

import pytest

from slotfit.answers.no_plan.answer import EqualPlans
from slotfit.answers.no_plan.choices import equally_good
from slotfit.model.plan import Placed
from slotfit.solve.alternatives import equal_layouts, places_of
from slotfit.solve.engine import Clock
from slotfit.solve.frame import alike
from tests.builds import THEMES
from tests.limits import SECONDS
from tests.oracle import Best
from tests.solve.looked_at import OF_EACH_THEME, drawn, placed

MOST = 40

Layout = frozenset[tuple[str, str]]


def with_plans(theme: str) -> Iterator[tuple[Placed, Best]]:
    """Builds of a theme that have a plan."""
    for number in range(OF_EACH_THEME // 2):
        _, best = drawn(theme, number)
        if best.cost is not None:
            yield placed(theme, number), best


def swaps(found: Placed) -> list[dict[str, str]]:
    """Every renaming of parts that may swap."""
    kinds = [kind.parts for kind in alike(found.problem, found.seating)]
    return [
        {
            old: new
            for olds, news in zip(kinds, chosen, strict=True)
            for old, new in zip(olds, news, strict=True)
        }
        for chosen in product(*(permutations(parts) for parts in kinds))
    ]


def plainly(found: Placed, best: Best) -> set[Layout]:
    """Layouts of the judge's best plans, of each set that swapping makes one another the least."""
    place_of, renamings = places_of(found.problem), swaps(found)
    layouts: set[Layout] = set()
    for choice in best.choices:
        spelled = [(part, place_of[receptacle]) for part, receptacle in choice.places.items()]
        versions = [
            frozenset((names.get(i, i), names.get(p, p)) for i, p in spelled) for names in renamings
        ]
        layouts.add(min(versions, key=sorted))
    return layouts


@pytest.mark.parametrize("theme", THEMES)
def test_the_judge_counts_the_same_layouts(theme: str) -> None:
    for found, best in with_plans(theme):
        assert found.plan is not None
        layouts = equal_layouts(
            found.problem, found.seating, found.clauses, found.plan, MOST, Clock(SECONDS)
        )
        expected = plainly(found, best)
        if layouts.complete:
            assert len(layouts.found) == len(expected)
        else:
            assert len(layouts.found) == MOST <= len(expected)


def equal(found: Placed) -> EqualPlans:
    told = equally_good(found, MOST, SECONDS)
    assert told is not None
    return told


@pytest.mark.parametrize("theme", THEMES)
def test_what_is_the_same_in_all_is_so_in_the_judges_plans(theme: str) -> None:
    for found, best in with_plans(theme):
        told, place_of = equal(found), places_of(found.problem)
        swappable = {part for names in swaps(found) for part in names}
        if not told.complete:
            continue
        for goes in told.same:
            if swappable.isdisjoint(goes.items):
                (part,) = goes.items
                seen = {place_of[choice.places[part]] for choice in best.choices}
                assert swappable & seen or seen == set(goes.ways[0].places)
        for goes in told.differs:
            assert sum(way.plans for way in goes.ways) == told.count


def test_the_bound_is_kept_and_said() -> None:
    many = next(f for theme in THEMES for f, _ in with_plans(theme) if equal(f).count > 2)
    told = equally_good(many, 2, SECONDS)
    assert told is not None
    assert (told.count, told.complete) == (2, False)


def test_without_time_only_the_plan_itself_is_counted() -> None:
    found = next(f for theme in THEMES for f, _ in with_plans(theme) if equal(f).count > 2)
    told = equally_good(found, 10, seconds=0)
    assert told is not None
    assert (told.count, told.complete) == (1, False)
