"""A build with one thing changed has all else as before, the sockets that leads go into as well."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from slotfit.answers.no_plan.changed import with_more, with_parts, with_wish, without
from tests.builds import THEMES, small_build


@pytest.mark.parametrize(("theme", "number"), [*product(THEMES, range(3))])
def test_receptacles_are_those_of_the_parts_that_are_there(theme: str, number: int) -> None:
    problem = small_build(Random(f"changed {theme} {number}"), theme)
    names = list(problem.receptacle)
    assert [*with_parts(problem, problem.parts).receptacle] == names
    for part in problem.parts:
        if part.companion_of is None:
            assert [*with_wish(problem, part.id, required=False).receptacle] == names
            more = with_more(problem, "another", part.spec)
            assert {*names} <= {*more.receptacle}
            assert {*without(more, ["another"]).receptacle} == {*names}
