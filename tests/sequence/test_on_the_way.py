"""What counts between windows: cards that copies go through, and links that fall short."""

from __future__ import annotations

from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.windows import Schedule
from tests.sequence.rebuilds import planned, ready
from tests.sequence.test_ends import problem

HUB = """kind: build
id: rockpool
machines:
- id: box
  base_w: 60
  board:
    kind: board
    id: tidal
    processors: [{id: cpu0}]
    hubs: [{id: chipset, from: cpu0, generation: 3, lanes: 4}]
    receptacles:
    - {id: slot1, form: cem, width: 8, lanes: 8, generation: 3, splits: [], from: chipset}
    - {id: slot2, form: cem, width: 8, lanes: 8, generation: 3, splits: [], from: chipset}
    - {id: slot3, form: cem, width: 8, lanes: 8, generation: 3, splits: [], from: cpu0}
    - {id: slot4, form: cem, width: 8, lanes: 8, generation: 3, splits: [], from: cpu0}
parts:
- id: card
  count: 3
  part: {kind: part, id: hatch, plug: cem x8, links: x8, generation: 3, demand: 3}
"""


def made(text: str) -> Schedule:
    """The best sequence of a whole build file."""
    found = planned(ready(load_build_text(text, Catalog(())))).schedule
    assert found is not None
    return found


COPY = """parts:
- {id: old, part: nvme-2280-gen3}
- {id: new, part: nvme-card-x4-gen3}
- {id: net, part: nic-25g-2p}
- {id: wire, part: nic-25g-2p}
today: {old: lamp/m2_1, wire: lamp/slot4, net: fog/slot1}
retire: [old]
sequence:
  goal: {new: fog/slot2, wire: lamp/slot4, net: lamp/slot2}
  copies: [{from: old, to: new, over: network%s}]
"""


def test_a_copy_through_cards_is_made_while_each_sits_beside_its_drives() -> None:
    """
    Where the cards sit says how many windows there are.

    Over the boards' ports two do: the new drive in and `net` out of one machine, then the old drive
    out and `net` into the other. Through the cards `net` has to stay for the copy.
    """
    free = planned(ready(problem(COPY % ""))).schedule
    bound = planned(ready(problem(COPY % ", through: [wire, net]"))).schedule
    assert free is not None
    assert bound is not None
    assert (free.totals.windows, bound.totals.windows) == (2, 3)
    during = bound.layouts[bound.copied[0]].seat_of
    machines = {part: during[part].upstream.machine for part in ("old", "wire", "new", "net")}
    assert machines == {"old": "lamp", "wire": "lamp", "new": "fog", "net": "fog"}


def test_what_a_shared_link_lacks_at_either_end_is_nothing_new_on_the_way() -> None:
    """Two cards of 3 GB/s below four lanes of generation 3 (under 4 GB/s), today or at the goal."""
    below, beside = (
        "{card-1: box/slot1, card-2: box/slot2%s}",
        "{card-1: box/slot1, card-2: box/slot3%s}",
    )
    for today, goal in ((below, beside), (beside, below)):
        asked = f"sequence: {{arrivals: {{card-3: 2}}, goal: {goal % ', card-3: box/slot4'}}}\n"
        totals = made(f"{HUB}today: {today % ''}\n{asked}").totals
        assert (totals.windows, totals.used, totals.reduced) == (2, 1, 0)
