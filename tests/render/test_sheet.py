"""The sheet: valid, closed to the network, small; everything it says is in the view."""

from __future__ import annotations

import hashlib
import re
from base64 import b64encode
from collections import Counter
from pathlib import Path

import html5lib
import pytest

from slotfit import api
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.render.as_sheet import as_sheet
from slotfit.render.explorer_of import HERE, NO, VERDICTS, Explorer, explorer_of
from slotfit.standards.forms import plug_fits
from tests.render.hand_view import empty_view, hand_view

DEMO = Path(__file__).parents[2] / "examples" / "demo" / "build.yaml"
EMPTY = Explorer((), (), ())
KILOBYTES = 400
"""What the page may weigh: it travels by USB stick and opens on old phones."""


@pytest.fixture(scope="module")
def stated() -> tuple[Problem, Seating]:
    problem = load_build(DEMO, standard_catalog(()))
    return problem, api.state_all(problem)[0]


def test_the_page_is_valid() -> None:
    """html5lib follows the parsing rules of the HTML standard; `strict` raises at each error."""
    html5lib.HTMLParser(strict=True).parse(as_sheet(hand_view(), EMPTY))


def test_the_page_asks_nothing_of_the_network() -> None:
    page = as_sheet(hand_view(), EMPTY)
    assert "default-src 'none'" in page
    links = re.findall(r"""(?:src|href|xlink:href|action|data)=["']([^"']*)""", page)
    assert links
    assert all(link.startswith("#") for link in links)
    assert not re.search(r"@import|url\((?!#)", page)


def test_the_policy_lets_exactly_its_own_style_and_script_run() -> None:
    """Content Security Policy Level 3: the hash is of the element's text as it stands."""
    page = as_sheet(hand_view(), EMPTY)
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
    view = hand_view()
    tree = html5lib.parse(as_sheet(view, EMPTY))
    text = " ".join("".join(tree.itertext()).split())
    for fact in view.facts:
        assert fact.statement in text
        assert fact.find_out in text
    for said in (*view.cautions, *view.notes, view.headline, view.left_out[0].why):
        assert said in text


def test_a_page_without_a_plan_is_whole() -> None:
    html5lib.HTMLParser(strict=True).parse(as_sheet(empty_view(), EMPTY))


def test_the_demos_page_is_small(stated: tuple[Problem, Seating]) -> None:
    problem, seating = stated
    page = as_sheet(hand_view(), explorer_of(problem, seating, None))
    assert len(page.encode()) < KILOBYTES * 1000


def test_the_explorer_knows_every_pair_once(stated: tuple[Problem, Seating]) -> None:
    problem, seating = stated
    explorer = explorer_of(problem, seating, None)
    pairs = Counter((v.part, v.site) for v in explorer.verdicts)
    assert set(pairs.values()) == {1}
    own = {(item.id, site.id) for item in problem.items for site in problem.sites}
    left_out = own - set(pairs)
    assert left_out
    assert all(site.partition("/")[0] in item for item, site in left_out)


def test_the_explorer_says_no_exactly_where_no_seat_is(stated: tuple[Problem, Seating]) -> None:
    problem, seating = stated
    seats = {(seat.item, seat.site) for seat in seating.seats}
    for verdict in explorer_of(problem, seating, None).verdicts:
        assert verdict.verdict in VERDICTS
        assert (verdict.verdict != NO) == ((verdict.part, verdict.site) in seats)
        assert bool(verdict.reasons) or verdict.verdict != NO


def test_another_form_is_always_a_no(stated: tuple[Problem, Seating]) -> None:
    problem, seating = stated
    for verdict in explorer_of(problem, seating, None).verdicts:
        plug = problem.item[verdict.part].part.plug.form
        if not plug_fits(plug, problem.site[verdict.site].receptacle.form):
            assert verdict.verdict == NO


# Worked out by hand from examples/demo/board.yaml and the catalog.
KNOWN = {
    # one x16 link reaches slot7 by itself, but four drives need it divided
    ("scans", "slot7"): (
        "works once set", "4 of 4 links: 16 GT/s x4 with “Port D lanes: x4x4x4x4”",
    ),
    # the setting that would divide slot1 is known not to work, and four drives are asked for
    ("scans", "slot1"): ("does not work", ""),
    # an eight-lane card in an eight-lane slot of its own generation
    ("nic-25", "slot2"): ("works", "8 GT/s x8"),
    # an x16 connector does not go into a closed x8 slot
    ("accelerator", "slot2"): ("does not work", ""),
    # a drive in a socket of four lanes
    ("boot-1", "m2_1"): ("works", "8 GT/s x4"),
    # no part sits in a socket of another form
    ("boot-1", "slot1"): ("does not work", ""),
}  # fmt: skip


@pytest.mark.parametrize(("pair", "expected"), KNOWN.items(), ids=str)
def test_the_explorer_says_what_the_hardware_does(
    stated: tuple[Problem, Seating], pair: tuple[str, str], expected: tuple[str, str]
) -> None:
    verdicts = {(v.part, v.site): v for v in explorer_of(*stated, None).verdicts}
    verdict, says = expected
    assert verdicts[pair].verdict == verdict
    assert says in (*verdicts[pair].says, "")


def test_what_is_in_the_plan_is_marked(stated: tuple[Problem, Seating]) -> None:
    from slotfit.model.plan import Plan  # noqa: PLC0415

    problem, seating = stated
    seat = next(s for s in seating.seats if (s.item, s.site) == ("nic-25", "slot2"))
    explorer = explorer_of(problem, seating, Plan((seat,), {}, (), (), ()))
    assert [(v.part, v.site) for v in explorer.verdicts if v.verdict == HERE] == [
        ("nic-25", "slot2")
    ]
