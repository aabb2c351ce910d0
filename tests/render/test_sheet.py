"""The sheet: valid, closed to the network, small; everything it says is in the view."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from pathlib import Path

import html5lib
import pytest

from slotfit.answers.check.every import everything
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from slotfit.sheet.sheet import Explorer, SheetAnswer, as_sheet, explorer_of
from tests.limits import SECONDS
from tests.render.hand_answer import empty_answer, hand_answer

DEMO = Path(__file__).parents[2] / "examples" / "demo" / "build.yaml"
EMPTY = Explorer((), (), ())
KILOBYTES = 400
"""What the page may weigh: it travels by USB stick and opens on old phones."""


@pytest.fixture(scope="module")
def answered() -> Explorer:
    found = best_plan(load_build(DEMO, standard_catalog(())), SECONDS)
    plan = found.plan
    return explorer_of(found.problem, everything(found.problem, plan), found.seating, plan)


def test_the_page_is_valid() -> None:
    """html5lib follows the parsing rules of the HTML standard; `strict` raises at each error."""
    html5lib.HTMLParser(strict=True).parse(as_sheet(SheetAnswer(hand_answer(), EMPTY)))


def test_the_page_asks_nothing_of_the_network() -> None:
    page = as_sheet(SheetAnswer(hand_answer(), EMPTY))
    assert "default-src 'none'" in page
    links = re.findall(r"""(?:src|href|xlink:href|action|data)=["']([^"']*)""", page)
    assert links
    assert all(link.startswith("#") for link in links)
    assert not re.search(r"@import|url\((?!#)", page)


def test_the_policy_lets_exactly_its_own_style_and_script_run() -> None:
    """Content Security Policy Level 3: the hash is of the element's text as it stands."""
    page = as_sheet(SheetAnswer(hand_answer(), EMPTY))
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', page)
    styles, scripts = (
        set(re.findall(rf"<{tag}>(.*?)</{tag}>", page, re.DOTALL)) for tag in ("style", "script")
    )
    for kind, texts in (("style", styles), ("script", scripts)):
        allowed = re.findall(rf"{kind}-src ([^;]*)", policy)[0].split()
        hashes = {
            f"'sha256-{b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
            for text in texts
        }
        assert set(allowed) == hashes
    assert not re.search(r"<[^>]+\sstyle=", page)


def test_everything_the_view_rests_on_is_on_the_page() -> None:
    answer = hand_answer()
    tree = html5lib.parse(as_sheet(SheetAnswer(answer, EMPTY)))
    text = " ".join("".join(tree.itertext()).split())
    for fact in answer.watch.rests_on:
        assert fact.statement in text
        assert fact.find_out in text
    others = (answer.verdict.headline, answer.more.left_out[0].why)
    for said in (*answer.do.cautions, *answer.watch.notes, *others):
        assert said in text


def test_a_page_without_a_plan_is_whole() -> None:
    html5lib.HTMLParser(strict=True).parse(as_sheet(SheetAnswer(empty_answer(), EMPTY)))


def test_the_demos_page_is_small(answered: Explorer) -> None:
    page = as_sheet(SheetAnswer(hand_answer(), answered))
    assert len(page.encode()) < KILOBYTES * 1000


# What the plan hangs on a part cannot carry that part.
HANGING = {"hba": ("sas-cable", "expander"), "sas-cable": ("expander",)}


def test_the_explorer_knows_every_pair_once(answered: Explorer) -> None:
    assert {(c.part, c.site) for c in answered.cells} == {
        (part, one)
        for part, _ in answered.parts
        for one, _, _ in answered.sites
        if one.partition("/")[0] not in (part, part.partition(":")[0], *HANGING.get(part, ()))
    }


# Worked out by hand from examples/demo/board.yaml and the catalog.
KNOWN = {
    # one x16 link reaches slot7 by itself, but four drives need it divided
    ("scans", "slot7"): (
        "works once set",
        'Choose "Port D lanes: x4x4x4x4" in firmware setup: SLOT 7 then has x4+x4+x4+x4.',
    ),
    # the setting that would divide slot1 by four is known not to work: by two, two drives are seen
    ("scans", "slot1"): ("works in part", "2 of 4 drives are seen"),
    # an eight-lane card in an eight-lane slot of its own generation: 7.1 GB/s usable of 7.9
    ("nic-25", "slot2"): ("works", "trains at gen 3 x8, 7.1 GB/s"),
    # an x16 connector does not go into a closed x8 slot
    ("accelerator", "slot2"): ("does not work", ""),
    # a drive in a socket of four lanes
    ("boot-1", "m2_1"): ("works", "trains at gen 3 x4, 3.5 GB/s"),
    # no part sits in a socket of another form
    ("boot-1", "slot1"): ("does not work", ""),
}  # fmt: skip


@pytest.mark.parametrize(("pair", "expected"), KNOWN.items(), ids=str)
def test_the_explorer_says_what_the_hardware_does(
    answered: Explorer, pair: tuple[str, str], expected: tuple[str, str]
) -> None:
    cells = {(cell.part, cell.site): cell for cell in answered.cells}
    verdict, says = expected
    assert cells[pair].verdict == verdict
    assert says in (*cells[pair].says, "")
