"""Likely futures: read with every mistake at once, and held against each board."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.compare.boards import Candidate
from slotfit.answers.headroom.headroom import headroom_answer
from slotfit.answers.headroom.usual import card, expected_parts
from slotfit.answers.place.additions import expected, futures_taken, load_futures, together
from slotfit.errors import InputError
from slotfit.model.part import Power
from slotfit.solve.engine import Stop
from tests.choose.invented import ONE_PROCESSOR, board, build, cards, catalog, tried
from tests.limits import SECONDS

FILE = """kind: futures
futures:
  - id: one-card
    weight: 3
    parts: [{part: nic-10g-2p}]
  - id: two-cards
    parts: [{part: nic-10g-2p, count: 2}]
"""

SMALL = together([expected(card(8, Power(slot_w=10)), 1)], "small", 3)
LARGE = together([expected(card(8, Power(slot_w=10)), 2)], "large", 1)


def written(folder: Path, text: str) -> Path:
    path = folder / "futures.yaml"
    path.write_text(text, "utf-8")
    return path


def test_a_file_is_read(tmp_path: Path) -> None:
    one, two = load_futures(written(tmp_path, FILE), catalog())
    assert (one.name, one.weight, two.name, two.weight) == ("one-card", 3, "two-cards", 1)
    assert [(part.id, count) for part, count in two.parts] == [("nic-10g-2p", 2)]


def test_every_mistake_names_its_line(tmp_path: Path) -> None:
    text = FILE.replace("two-cards", "one-card").replace("part: nic-10g-2p}", "part: nic-11g}")
    text += (
        "  - {id: none, parts: []}\n  - {id: heavy, weight: many, parts: [{part: nic-10g-2p}]}\n"
    )
    with pytest.raises(InputError) as caught:
        load_futures(written(tmp_path, text), catalog())
    lines = str(caught.value).splitlines()
    assert [line.removeprefix(f"{tmp_path}/futures.yaml:").split(":")[0] for line in lines] == [
        *("5", "6", "8", "9"),
    ]
    assert "nothing in the catalog is called nic-11g" in lines[0]
    assert "two futures are called one-card" in lines[1]


def test_a_build_is_no_file_of_futures(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="this describes a build; a futures is expected here"):
        load_futures(written(tmp_path, "kind: build\nid: b\nmachines: []\n"), catalog())


def test_the_share_is_by_weight_and_what_is_open_does_not_count() -> None:
    found = futures_taken([SMALL, LARGE], {"small": True, "large": None})
    assert (found.fits, found.fails, found.open, found.share) == (("small",), (), ("large",), 0.75)


def test_each_board_says_which_futures_it_takes() -> None:
    """One slot is left on the first board, none on the second, which does not take today's."""
    problem = build(cards("nic"))
    one_slot = board(ONE_PROCESSOR[: ONE_PROCESSOR.index("  - {id: b,")])
    full = build(cards("nic", "hba"))
    (roomy,) = tried(problem, Candidate("roomy", board(ONE_PROCESSOR)), futures=(SMALL, LARGE))
    (tight,) = tried(full, Candidate("tight", one_slot), futures=(SMALL, LARGE))
    assert roomy.plan
    assert roomy.plan.futures
    assert (roomy.plan.futures.fits, roomy.plan.futures.fails) == (("small",), ("large",))
    assert tight.plan
    assert tight.plan.futures
    assert (tight.plan.futures.fits, tight.plan.futures.share) == ((), 0)


def test_headroom_tells_which_futures_fit() -> None:
    problem = build(cards("nic"), ONE_PROCESSOR)
    answer = headroom_answer(problem, ([], [SMALL, LARGE]), SECONDS, lambda *_: None, Stop())
    futures = answer.more.futures
    assert futures
    assert (futures.fits, futures.fails) == (("small",), ("large",))
    assert [room.fits for room in answer.plan.rooms] == [1, 0]


def test_expected_parts_are_read_with_their_counts() -> None:
    one, four = expected_parts(["nic-10g-2p", "nvme-2280-gen4=4"], catalog())
    assert (one.name, one.most, four.name, four.most) == (
        *("nic-10g-2p", 1),
        *("4 x nvme-2280-gen4", 4),
    )
    assert (one.drives, four.drives) == (0, 1)


def test_every_wrong_expectation_is_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        expected_parts(["nic-10g-2p=0", "no-such-part", "nic-10g-2p=65"], catalog())
    assert len(caught.value.mistakes) == 3
