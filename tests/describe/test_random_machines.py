"""Whatever a machine says: the files load, today is possible, and it runs as it stands."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.verify.planned import as_it_stands, planned_machine
from slotfit.answers.verify.verdict import verify
from slotfit.read.machine import MachineSeen
from tests.describe.invented import machines
from tests.describe.loading import described, loaded, refused_today
from tests.limits import SECONDS

OFTEN = settings(suppress_health_check=[HealthCheck.too_slow])


@OFTEN
@given(machines())
def test_the_files_load_and_today_is_possible(seen: MachineSeen) -> None:
    made = described(seen)
    with tempfile.TemporaryDirectory() as folder:
        problem = loaded(made, Path(folder) / "made")
    assert refused_today(problem) == {}
    for receptacle in problem.today.values():  # on a part of no place it would lie beside all
        assert problem.receptacle[receptacle].owner in {*problem.machine, *problem.today}


@settings(OFTEN, max_examples=40)
@given(machines())
def test_a_machine_runs_as_it_stands(seen: MachineSeen) -> None:
    """Nothing is missing, elsewhere, narrower or extra in the machine it was made from."""
    with tempfile.TemporaryDirectory() as folder:
        problem = as_it_stands(loaded(described(seen), Path(folder) / "made"))
    placed = best_plan(problem, SECONDS)
    assert placed.plan is not None
    view = answer_of(placed)
    assert "set" not in {one.division.step for one in view.do.settings}
    found = verify(planned_machine(view, "plan"), seen).do.faults
    assert [one.text for one in found] == []
