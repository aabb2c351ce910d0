"""
The demo's sheet in headless Chromium: quiet, remembering, answering, reachable, printable.

Needs Chromium, the extra `browser`, and for one test axe-core in .ci/cache/axe (.ci/tools).
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from slotfit.answers.check.every import everything
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.draw.picture import topology_svg
from slotfit.draw.row_measure import StandName
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from slotfit.sheet.sheet import Explorer, SheetAnswer, as_sheet, explorer_of
from tests.docs.console import run
from tests.limits import SECONDS
from tests.render.hand_answer import hand_answer

pytestmark = pytest.mark.long
playwright = pytest.importorskip("playwright.sync_api", reason="the extra `browser` is missing")

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"
DEMO = EXAMPLES / "demo" / "build.yaml"
GREBE = str(EXAMPLES / "compare" / "grebe.yaml")
AXE = ROOT / ".ci" / "cache" / "axe" / "node_modules" / "axe-core" / "axe.min.js"
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
WIDTHS = [320, 390, 1280]
A4_POINTS = (595, 842)
MARGIN_POINTS = 34  # 12 mm

Open = Callable[..., Any]


@pytest.fixture(scope="module")
def answer() -> tuple[PlaceAnswer, Explorer]:
    problem = load_build(DEMO, standard_catalog(()))
    placed = best_plan(problem, SECONDS)
    view = answer_of(placed)
    told = everything(problem, placed.plan)
    return view, explorer_of(problem, told, placed.seating, placed.plan)


@pytest.fixture(scope="module")
def sheet(answer: tuple[PlaceAnswer, Explorer], tmp_path_factory: pytest.TempPathFactory) -> Path:
    file: Path = tmp_path_factory.mktemp("sheet") / "sheet.html"
    file.write_text(as_sheet(SheetAnswer(*answer)), "utf-8")
    return file


PAGES: dict[str, list[str]] = {
    "plan": ["sheet", str(DEMO), "-o"],
    "windows": ["sheet", str(EXAMPLES / "sequence-lighthouse" / "build.yaml"), "-o"],
    "no-windows": ["sheet", str(EXAMPLES / "sequence-no-way" / "build.yaml"), "-o"],
    "boards": ["sheet", str(DEMO), "--beside", GREBE, "--no-chassis", "-o"],
    "sequence": ["sequence", str(EXAMPLES / "sequence-lighthouse" / "build.yaml"), "--page"],
    "compare": ["compare", str(DEMO), GREBE, "--no-chassis", "-o"],
}
"""Every kind of page with the command line that writes it."""


@pytest.fixture(scope="module", params=PAGES)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    file: Path = tmp_path_factory.mktemp("pages") / f"{request.param}.html"
    run(["slotfit", *PAGES[request.param], str(file)])
    return file


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    if CHROMIUM is None:
        pytest.skip("chromium is not installed")
    with playwright.sync_playwright() as driver:
        started = driver.chromium.launch(
            executable_path=CHROMIUM, args=FLAGS, chromium_sandbox=False
        )
        yield started
        started.close()


@pytest.fixture
def open_sheet(browser: Any, sheet: Path) -> Iterator[Open]:
    """Opens the sheet from its file, with whatever the browser says in `page.said`."""
    contexts = []

    def opened(width: int = 1280, height: int = 900, file: Path = sheet, **options: Any) -> Any:
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        page = context.new_page()
        page.said = []
        page.on("console", lambda message: page.said.append(message.text))
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.on("request", lambda request: page.said.append(request.url))
        page.goto(file.as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()


def test_a_page_loads_in_silence_and_asks_for_nothing(open_sheet: Open, written: Path) -> None:
    page = open_sheet(file=written)
    page.wait_for_timeout(200)
    assert page.said == [written.as_uri()]
    if page.locator("[data-step]").count():
        assert "0 of" in page.text_content("#done")


BEYOND_ITS_BOX = """() => [...document.querySelectorAll("svg g")].flatMap(node => {
    const own = kind => [...node.querySelectorAll(":scope > " + kind)];
    const right = Math.max(...[...own("polygon"), ...own("path")].map(frame => {
        const box = frame.getBBox();
        return box.x + box.width;
    }));
    const ends = text => text.getBBox().x + text.getBBox().width;
    return own("polygon").length + own("path").length < 2 ? [] :
        own("text").filter(text => ends(text) > right + 1).map(text => text.textContent);
})"""


@pytest.mark.parametrize("font", ["Helvetica", "DejaVu Sans", "Verdana"])
def test_words_of_the_topology_stay_in_their_boxes(
    open_sheet: Open, answer: tuple[PlaceAnswer, Explorer], tmp_path: Path, font: str
) -> None:
    """With each of these fonts, or with what stands in for it where it is not installed."""
    file = tmp_path / "topology.svg"
    drawing = topology_svg(topology(answer[0]))
    file.write_text(re.sub('font-family="[^"]*"', f'font-family="{font}"', drawing), "utf-8")
    assert open_sheet(file=file).evaluate(BEYOND_ITS_BOX) == []


ACROSS_AN_EDGE = """() => {
    const seen = box => ({x: [box.left, box.right], y: [box.top, box.bottom]});
    const shared = (one, other) => Math.min(one[1], other[1]) - Math.max(one[0], other[0]);
    return [...document.querySelectorAll("g[data-site]")].flatMap(group => {
        const boxes = [...group.querySelectorAll("rect")].map(
            rect => seen(rect.getBoundingClientRect()));
        return [...group.querySelectorAll("text")].filter(text => {
            const turned = (text.getAttribute("transform") || "").includes("rotate");
            const [along, across] = turned ? ["y", "x"] : ["x", "y"];
            const words = seen(text.getBoundingClientRect());
            const high = words[across][1] - words[across][0];
            return boxes.some(box => shared(words[across], box[across]) > high * 0.4
                && shared(words[along], box[along]) > 1
                && (words[along][0] < box[along][0] - 1 || words[along][1] > box[along][1] + 1));
        }).map(text => text.textContent);
    });
}"""


@pytest.mark.parametrize("stand", ["flat", "tower"])
@pytest.mark.parametrize("font", ["Helvetica", "DejaVu Sans", "Verdana"])
def test_words_of_a_slot_row_cross_no_edge(
    open_sheet: Open, tmp_path: Path, font: str, stand: StandName
) -> None:
    """Neither of a slot's name nor of a card, however short that is."""
    file = tmp_path / "row.html"
    drawn = "".join(
        slot_row_svg(answer, stand, f"{number}-")
        for number, answer in enumerate((planned("demo"), planned("disks-20"), hand_answer()))
    )
    file.write_text(re.sub('font-family="[^"]*"', f'font-family="{font}"', drawn), "utf-8")
    assert open_sheet(file=file).evaluate(ACROSS_AN_EDGE) == []


@cache
def planned(example: str) -> PlaceAnswer:
    """An example's plan, or its machines where there is none."""
    problem = load_build(EXAMPLES / example / "build.yaml", standard_catalog(()))
    return answer_of(best_plan(problem, SECONDS))


def test_a_script_that_is_not_the_pages_own_does_not_run(open_sheet: Open) -> None:
    """The console speaks up: the policy is in force, and the silence above means something."""
    page = open_sheet()
    page.evaluate(
        "() => { const s = document.createElement('script'); s.textContent = 'window.ran = 1';"
        " document.body.append(s); }"
    )
    assert page.evaluate("window.ran") is None
    assert any("Content Security Policy" in said for said in page.said)


def test_ticks_outlive_a_reload_and_go_when_told(open_sheet: Open) -> None:
    page = open_sheet()
    boxes = page.locator("[data-step]")
    count = boxes.count()
    boxes.nth(0).check()
    page.locator("label[for]").filter(has_text="SLOT 3").first.click()
    ticked = page.evaluate("[...document.querySelectorAll('[data-step]:checked')].map(b => b.id)")
    assert len(ticked) == 2
    page.reload()
    again = page.evaluate("[...document.querySelectorAll('[data-step]:checked')].map(b => b.id)")
    assert again == ticked
    assert page.text_content("#done") == f"2 of {count} steps done"
    page.click("#untick")
    page.reload()
    assert page.locator("[data-step]:checked").count() == 0


def test_ticks_of_windows_outlive_a_reload_and_belong_to_their_build(
    open_sheet: Open, written: Path, sheet: Path
) -> None:
    page = open_sheet(file=written)
    boxes = page.locator("section.window [data-step]")
    if not boxes.count():
        pytest.skip("a page without windows")
    boxes.nth(1).check()
    page.reload()
    assert page.locator("[data-step]:checked").count() == 1
    assert boxes.nth(1).is_checked()
    page.goto(sheet.as_uri())
    assert page.locator("[data-step]:checked").count() == 0


def answers(page: Any) -> list[dict[str, Any]]:
    """Names, verdict and sentences of each entry the explorer shows."""
    found: list[dict[str, Any]] = page.evaluate(
        """[...document.querySelectorAll('#answer li')].map(li => {
            const all = look => [...li.querySelectorAll(look)].map(p => p.textContent);
            return {names: li.querySelector('b').textContent.split(', '),
                word: li.querySelector('.word').textContent,
                planned: li.querySelector('.planned') !== null,
                says: all('p.says'), reasons: all('p.reason'), aside: all('p.note')}; })"""
    )
    return found


def test_the_explorer_answers_for_every_part_and_receptacle(
    open_sheet: Open, answer: tuple[PlaceAnswer, Explorer]
) -> None:
    page, explorer = open_sheet(), answer[1]
    asked: list[tuple[str, int, str | None, str | None]]
    asked = [("#ask-part", n, part, None) for n, (part, _) in enumerate(explorer.parts)]
    asked += [("#ask-site", n, None, one) for n, (one, _, _) in enumerate(explorer.sites)]
    for select, number, part, receptacle in asked:
        page.select_option(select, str(number))
        shown = [
            (one["word"], one["planned"], one["says"], one["reasons"], one["aside"])
            for one in answers(page)
            for _ in one["names"]
        ]
        pairs = [
            (c.verdict, c.planned, list(c.says), list(c.reasons), list(c.aside))
            for c in explorer.cells
            if part in (None, c.part) and receptacle in (None, c.site)
        ]
        assert sorted(shown) == sorted(pairs)


def test_the_explorer_says_what_the_check_command_prints(
    open_sheet: Open, answer: tuple[PlaceAnswer, Explorer]
) -> None:
    """Every part of the demo, with what the plan puts on it, through the command line."""
    page, explorer = open_sheet(), answer[1]
    labels = {receptacle: label for receptacle, label, _ in explorer.sites}
    for number, (part, _) in enumerate(explorer.parts):
        page.select_option("#ask-part", str(number))
        shown = {name: one for one in answers(page) for name in one["names"]}
        on_it = [
            word
            for seat in answer[0].plan.seats
            if seat.owner == part and seat.part_class not in ("cable", "sas-expander")
            for word in ("--with", f"{seat.site.partition('/')[2]}={seat.item}")
        ]
        _, printed = run(["slotfit", "check", part, str(DEMO), "--json", *on_it])
        for verdict in json.loads("\n".join(printed))["plan"]["receptacles"]:
            entry = shown[labels[verdict["receptacle"]]]
            assert entry["word"] == verdict["status"]
            assert entry["reasons"] == [reason["text"] for reason in verdict["reasons"]]
            assert verdict["summary"] in (*entry["says"], "")
            assert set(verdict["notes"]) <= set(entry["says"])


def test_a_tap_on_a_slot_of_the_picture_asks_about_it(open_sheet: Open) -> None:
    page = open_sheet()
    page.locator(".drawing.tower [data-site='slot3'] text").first.click()
    assert page.text_content("#answer h3") == "SLOT 3"
    assert any(one["planned"] for one in answers(page))


def test_everything_can_be_done_by_keyboard(open_sheet: Open) -> None:
    page = open_sheet()
    reached = set()
    for _ in range(400):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.id || document.activeElement.tagName"))
    wanted = set(
        page.evaluate("[...document.querySelectorAll('input,select,button')].map(e => e.id)")
    )
    radios = {"stand-flat", "stand-tower", "stand-topology"}
    assert wanted - reached <= radios
    assert reached & radios
    page.focus("[data-step] >> nth=0")
    page.keyboard.press("Space")
    assert page.locator("[data-step]:checked").count() == 1
    page.focus("#stand-tower")
    page.keyboard.press("ArrowRight")
    assert page.locator(".drawing.topology").is_visible()
    page.focus("#ask-part")
    page.keyboard.press("ArrowDown")
    assert answers(page)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_sticks_out_at_the_side(open_sheet: Open, width: int, scheme: str) -> None:
    page = open_sheet(width, color_scheme=scheme)
    for stand in ("flat", "tower", "topology"):
        page.click(f"label[for=stand-{stand}]")
        assert page.locator(f".drawing.{stand} svg").is_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_fifteen_slots_are_read_on_a_narrow_screen_by_scrolling(
    open_sheet: Open, tmp_path: Path
) -> None:
    slots = "".join(
        f"  - {{id: s{n}, form: cem, width: 16, row: rear, position: {n}, from: cpu0, lanes: 4}}\n"
        for n in range(15)
    )
    (tmp_path / "board.yaml").write_text(
        "kind: board\nid: b\nprocessors: [{id: cpu0}]\nrows: [{id: rear, positions: 15}]\n"
        f"receptacles:\n{slots}",
        "utf-8",
    )
    (tmp_path / "build.yaml").write_text(
        "kind: build\nid: b\nmachines: [{id: m, board: ./board.yaml}]\n"
        "parts: [{id: nic, part: nic-10g-2p}]\n",
        "utf-8",
    )
    file = tmp_path / "sheet.html"
    run(["slotfit", "sheet", str(tmp_path / "build.yaml"), "-o", str(file)])
    page = open_sheet(320, 640, file=file)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    found = page.evaluate(
        """(() => { const svg = document.querySelector('.drawing.flat svg');
        return svg.getBoundingClientRect().width / svg.viewBox.baseVal.width; })()"""
    )
    assert found * 6.5 >= 8  # the small print's size in millimetres
    page.focus(".drawing.flat")
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(300)
    assert page.evaluate("document.querySelector('.drawing.flat').scrollLeft") > 0


@pytest.mark.parametrize("width", WIDTHS)
def test_no_page_sticks_out_at_the_side(open_sheet: Open, written: Path, width: int) -> None:
    page = open_sheet(width, file=written)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_who_wants_no_motion_gets_none(open_sheet: Open) -> None:
    smooth = [
        open_sheet(reduced_motion=wish).evaluate(
            "getComputedStyle(document.documentElement).scrollBehavior"
        )
        for wish in ("no-preference", "reduce")
    ]
    assert smooth == ["smooth", "auto"]


def test_words_in_the_picture_are_big_enough_on_a_narrow_screen(open_sheet: Open) -> None:
    """Nine pixels and more: below that, letters run together (common practice, no source)."""
    page = open_sheet(320, 640)
    heights = page.evaluate(
        """(() => { const svg = document.querySelector('.drawing.flat svg');
        const scale = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
        return [...svg.querySelectorAll('text')]
            .map(t => Number(t.getAttribute('font-size')) * scale); })()"""
    )
    assert heights
    assert min(heights) >= 8
    assert sorted(heights)[len(heights) // 10] >= 9


def test_the_dark_page_is_dark(open_sheet: Open) -> None:
    colours = [
        open_sheet(color_scheme=scheme).evaluate(
            """['body', '.drawing.tower svg > rect', '.drawing.tower svg > text'].map(s => {
            const style = getComputedStyle(document.querySelector(s));
            return s === 'body' ? style.backgroundColor : style.fill; })"""
        )
        for scheme in ("light", "dark")
    ]
    paper, ground, ink = zip(*colours, strict=True)
    assert paper == ground == ("rgb(252, 251, 247)", "rgb(18, 23, 28)")
    assert ink[0] != ink[1]


def test_it_prints_on_a4_with_nothing_cut_off(
    open_sheet: Open, written: Path, tmp_path: Path
) -> None:
    page = open_sheet(color_scheme="dark", file=written)
    margin = dict.fromkeys(("top", "bottom", "left", "right"), "12mm")
    page.pdf(path=tmp_path / "a.pdf", format="A4", margin=margin, print_background=True)
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed (poppler-utils)")
    done = subprocess.run(
        ["pdftotext", "-bbox", tmp_path / "a.pdf", "-"], capture_output=True, text=True, check=True
    )
    box = " ".join(rf'{name}="([\d.-]+)"' for name in ("xMin", "yMin", "xMax", "yMax"))
    words = re.findall(rf"<word {box}>([^<]*)", done.stdout)
    assert words
    edge = MARGIN_POINTS - 1
    for left, top, right, bottom, word in words:
        # Inside the margins: what sticks out of them is cut off, though its words are still there.
        assert edge < float(left) <= float(right) < A4_POINTS[0] - edge, word
        assert 0 < float(top) <= float(bottom) < A4_POINTS[1], word
    text = "".join(word for *_, word in words)
    for step in page.locator(".ticks label").all_text_contents():
        assert "".join(step.split()[:3]).replace("&", "&amp;") in text


@pytest.mark.parametrize("width", [320, 1280])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_no_serious_fault(
    open_sheet: Open, written: Path, width: int, scheme: str
) -> None:
    if not AXE.exists():
        pytest.skip("axe-core is not in .ci/cache/axe; .ci/tools fetches it")
    page = open_sheet(width, file=written, color_scheme=scheme)
    if page.locator("#ask-part").count():
        page.select_option("#ask-part", "3")
    page.evaluate(AXE.read_text("utf-8"))  # through the debugger, which the policy does not bind
    found = page.evaluate("axe.run()")
    serious = [
        (fault["id"], fault["impact"], fault["nodes"][0]["html"][:200])
        for fault in found["violations"]
        if fault["impact"] in ("serious", "critical")
    ]
    assert serious == []
    assert len(found["passes"]) > 10
