"""Pages in a real Chromium: they fetch nothing, fit a phone, read well, and print with every step whole."""

import io
import os
import re
import struct
import zlib
from functools import cache, partial
from pathlib import Path

import pytest

from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.photos import embed
from guide.show.pages.plan import render_plan, render_sheet
from guide.show.pages.price import render_layouts, render_price, render_quote, render_tickets
from tests.show import samples
from tests.show.demo import demo_plan
from tests.show.photo_samples import chunk, with_notes

pytestmark = pytest.mark.browser
FULL = bool(os.environ.get("FRAYWORK_FULL"))
AXE = Path(os.environ.get("FRAYWORK_AXE", "node_modules/axe-core/axe.min.js"))
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
PAGES = {
    "log": render_log,
    "buyer's log": partial(render_log, buyer=True),
    "plan": render_plan,
    "sheet": render_sheet,
    "checklist": render_checklist,
    "large print": partial(render_checklist, large=True, both_units=True),
    "price": render_price,
    "history": samples.history_page,
    "paces": samples.paces_page,
    "quote": render_quote,
    "tickets": render_tickets,
    "cutting day": samples.day_page,
}


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Every page of the demo, written once; the log has a photo that lies on its side."""
    folder = tmp_path_factory.mktemp("pages")
    plan = demo_plan()
    record = samples.record(plan)
    record.remarks.append(samples.Remark("photo", 8, samples.T0, plan.steps[0].key, "side.jpg"))
    (folder / "side.jpg").write_bytes(with_notes(6))
    report = samples.full_report(plan, rec=record)
    out = {}
    for name, render in PAGES.items():
        text = render_log(report, folder=folder) if name == "log" else render(report)
        out[name] = folder / f"{name}.html"
        out[name].write_text(text, encoding="utf-8")
    return out


@pytest.fixture(params=sorted(PAGES))
def name(request):
    return request.param


def test_a_page_fits_every_width(page, files, name):
    """No sideways scroll, no console message, no request, every picture whole. [source] WCAG 2.2, 1.4.10: 320 CSS px."""
    page.goto(files[name].as_uri())
    for width in (320, 768, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        assert page.evaluate("innerWidth") == width
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth"), width
        assert page.evaluate("[...document.images].every(i => i.complete && i.naturalWidth > 0)"), width
    assert not page.bad


def test_a_page_is_accessible(page, files, name):
    """axe-core finds nothing against WCAG 2.2 A and AA, in light, dark and print. [source] axe-core's rules as the judge.

    In the dark only colours differ: the rules of contrast are asked there, all of them under FRAYWORK_FULL=1.
    """
    if not AXE.is_file():
        pytest.skip("no axe-core: npm install axe-core, or FRAYWORK_AXE")
    page.goto(files[name].as_uri())
    page.evaluate(AXE.read_text(encoding="utf-8") + ";0")
    contrast = RULES if FULL else {"type": "rule", "values": ["color-contrast"]}
    for media, scheme, rules in (("screen", "light", RULES), ("screen", "dark", contrast), ("print", "light", RULES)):
        page.emulate_media(media=media, color_scheme=scheme)
        found = page.evaluate("rules => axe.run(document, {runOnly: rules})", rules)
        assert found["passes"]
        wrong = [(v["id"], [n["html"][:200] for n in v["nodes"]][:3]) for v in found["violations"]]
        assert wrong == [], (media, scheme)


def printed(page, path, paper, *, theirs=False):
    """The sheets of a page in print; `theirs`: on a paper of the page's own, where it has one."""
    from pypdf import PdfReader

    page.goto(path.as_uri())
    return PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=theirs))).pages


SIZED = """() => [...document.styleSheets].flatMap(sheet => [...sheet.cssRules]).filter(
    rule => rule instanceof CSSPageRule && rule.style.getPropertyValue('size')).length"""
BOXES = {"Letter": (612, 792), "A4": (595, 842)}


@pytest.mark.parametrize("paper", BOXES if FULL else ["Letter"])
def test_pages_print_on_either_paper(page, files, name, paper):
    """Pages carry no paper size of their own. [source] ISO 216: A4 is 210 × 297 mm; Letter is 8 1/2 × 11 in."""
    pages, box = printed(page, files[name], paper, theirs=True), BOXES[paper]
    assert pages
    assert all(abs(float(p.mediabox.width) - box[0]) < 2 and abs(float(p.mediabox.height) - box[1]) < 2 for p in pages)
    assert not page.evaluate(SIZED)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_step_of_the_checklist_is_printed_whole_on_one_sheet(page, files, paper):
    """Each step's title and its last words are on one and the same sheet; how many sheets there are, legibility decides."""
    pages = [squeezed(p.extract_text()) for p in printed(page, files["checklist"], paper)]
    page.goto(files["checklist"].as_uri())
    steps = page.eval_on_selector_all(
        "li.step[data-step]",
        "all => all.map(e => [...e.querySelectorAll('h4, p:not(.rest), .rest > span')].map(p => p.textContent))",
    )
    assert len(steps) == len(demo_plan().steps)
    for parts in steps:
        whole = [squeezed(part) for part in parts if squeezed(part)]
        holding = [number for number, text in enumerate(pages) if whole[0] in text]
        assert any(all(part in pages[number] for part in whole) for number in holding), parts


SIZES = """() => [...document.querySelectorAll('body *')]
    .filter(e => !e.closest('svg') && e.checkVisibility())
    .filter(e => [...e.childNodes].some(n => n.nodeType === Node.TEXT_NODE && n.textContent.trim()))
    .map(e => [parseFloat(getComputedStyle(e).fontSize) * e.currentCSSZoom * 0.75,
               e.closest('.colophon') ? 'foot' : e.matches('.sizes b') ? 'number' : 'text', e.outerHTML.slice(0, 80)])"""


@pytest.mark.parametrize(("name", "times"), [("checklist", 1.0), ("large print", 1.5)])
def test_a_checklist_is_printed_large_enough_to_read_at_the_machine(page, files, name, times):
    """Words from 10.5 pt, the numbers one looks for from 14, the foot from 7; half as much again in large print. [practice]

    Sizes as the page asks for them, 4/3 px to a pt [source: CSS Values and Units 3, 6.2]: no font has a say in it.
    """
    page.emulate_media(media="print")
    page.goto(files[name].as_uri())
    found = page.evaluate(SIZES)
    assert {kind for _, kind, _ in found} == {"text", "number", "foot"}
    least = {"text": 10.5 * times, "number": 14 * times, "foot": 7}
    assert [(pt, html) for pt, kind, html in found if pt < least[kind] - 0.01] == []


def squeezed(text):
    """Letters and digits only: line breaks, ligatures and marks differ between a page and its print."""
    for ligature, letters in {"ﬁ": "fi", "ﬂ": "fl", "ﬀ": "ff", "ﬃ": "ffi", "ﬄ": "ffl"}.items():
        text = text.replace(ligature, letters)
    return re.sub(r"[^0-9A-Za-z]", "", text)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photo_stands_upright(page, tmp_path, orientation):
    """Freed of its notes and turned by us, a photo looks as Chromium turns it by its own Exif reading."""
    data = with_notes(orientation)
    (tmp_path / "p.jpg").write_bytes(data)
    import base64

    source = f"data:image/jpeg;base64,{base64.b64encode(data).decode()}"
    wide, high = (160, 320) if orientation >= 5 else (320, 160)
    style = f"<style>body {{ margin: 0 }} img, svg {{ display: block; width: {wide}px !important; height: {high}px !important; image-rendering: pixelated }}</style>"
    shots = []
    for markup in (f'<img src="{source}">', str(embed(tmp_path, "p.jpg", "front"))):
        page.set_content(style + markup)
        page.wait_for_timeout(50)
        shots.append(colours(page, wide, high))
    assert shots[0] == shots[1]


def plain_png(wide, high):
    """A grey picture of that size. [source] ISO/IEC 15948 (PNG): colour type 0, 8 bits, each row after a filter byte."""
    rows = zlib.compress(bytes((wide + 1) * high))
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def turned_jpeg(wide, high):
    """The sample as a phone held upright writes it: stored `wide` × `high`, seen a quarter turned; its frame's size (FFC0)."""
    data = with_notes(6)
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", high, wide) + data[at + 4 :]


SHAPES = {"turned.jpg": (900, 1200), "upright.png": (900, 1200), "broad.png": (1600, 1200), "long.png": (400, 2400)}


@pytest.mark.parametrize("newest", SHAPES if FULL else ["turned.jpg", "upright.png"])
def test_a_photo_keeps_its_shape_on_screen_and_on_paper(page, tmp_path, newest):
    """As broad to high as it is, the newest large; the others small enough that all stand on a log's first sheet."""
    of = demo_plan()
    record = samples.record(of)
    for n, name in enumerate([*(one for one in SHAPES if one != newest), "gone.png", newest], 90):
        record.remarks.append(samples.Remark("photo", n, samples.T0, "", name))
        if name != "gone.png":
            (tmp_path / name).write_bytes(turned_jpeg(1200, 900) if name == "turned.jpg" else plain_png(*SHAPES[name]))
    html = render_log(samples.full_report(of, rec=record), folder=tmp_path)
    assert re.findall(r">([^<]*gone\.png[^<]*)<", html) == ["gone.png: not found"]
    path = tmp_path / "log.html"
    path.write_text(html, encoding="utf-8")
    page.goto(path.as_uri())
    for media, width in (("screen", 1280), ("screen", 360), ("print", 703)):  # A4 less the margins: 186 mm
        page.emulate_media(media=media)
        page.set_viewport_size({"width": width, "height": 900})
        seen = page.evaluate(
            """() => [...document.querySelectorAll('.keepsake :is(img, svg.photo)')].map(one => {
                const at = one.getBoundingClientRect();
                return [one.getAttribute('alt') || one.getAttribute('aria-label'), at.width, at.height]; })"""
        )
        assert [name for name, _, _ in seen] == [newest, *reversed([one for one in SHAPES if one != newest])]
        for name, wide, high in seen:
            assert wide / high == pytest.approx(SHAPES[name][0] / SHAPES[name][1], rel=0.02), (media, width, name)
        areas = [wide * high for _, wide, high in seen]
        assert newest == "long.png" or areas[0] == max(areas), (media, width)
        assert max(seen[0][1:]) > 250, (media, width)
        assert all(max(wide, high) > 120 for _, wide, high in seen), (media, width)
    assert "Both faces" in printed(page, path, "A4")[1].extract_text()


@pytest.mark.parametrize("kind", ["quote", "layout"])
def test_both_faces_of_what_is_offered_stand_side_by_side_on_paper(page, tmp_path, kind):
    """With their sizes beside them, on A4 less the margins: 186 mm."""
    report = samples.full_report(demo_plan())
    html = render_quote(report) if kind == "quote" else render_layouts(report, [("kept", "", report.layout)])
    (tmp_path / "offer.html").write_text(html, encoding="utf-8")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 703, "height": 900})
    page.goto((tmp_path / "offer.html").as_uri())
    front, back = page.evaluate(
        "[...document.querySelectorAll('.gallery svg.picture')].map(one => one.getBoundingClientRect().top)"
    )
    assert front == back


@cache
def hostile(poison):
    return samples.hostile_report(poison)


def colours(page, wide, high):
    """The colour, by name, in the middle of each quarter of the picture, read from a screenshot by the browser itself."""
    import base64

    shot = base64.b64encode(page.screenshot(clip={"x": 0, "y": 0, "width": wide, "height": high})).decode()
    return page.evaluate(
        """async ([data, w, h]) => {
            const image = new Image(); image.src = 'data:image/png;base64,' + data; await image.decode();
            const c = document.createElement('canvas'); c.width = w; c.height = h;
            const g = c.getContext('2d'); g.drawImage(image, 0, 0);
            const name = p => ['red', 'green', 'blue'][[p[0], p[1], p[2]].indexOf(Math.max(p[0], p[1], p[2]))];
            return [[0.125, 0.25], [0.875, 0.25], [0.125, 0.75], [0.875, 0.75], [0.25, 0.125], [0.25, 0.875]]
                .map(([x, y]) => name(g.getImageData(Math.round(x * w), Math.round(y * h), 1, 1).data));
        }""",
        [shot, wide, high],
    )


@pytest.mark.parametrize(
    "poison",
    ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "javascript:alert(1)", "W" * 400],
    ids=["script", "handler", "link", "huge word"],
)
def test_hostile_text_does_nothing_in_a_real_browser(page, tmp_path, name, poison):
    """No dialog, no request, no script, no sideways scroll on a phone, whatever a maker has written."""
    path = tmp_path / "page.html"
    path.write_text(PAGES[name](hostile(poison)), encoding="utf-8")
    page.set_viewport_size({"width": 320, "height": 800})
    page.goto(path.as_uri())
    page.wait_for_timeout(30)
    assert not page.bad
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
