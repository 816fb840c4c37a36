"""Pages people keep: one report's figures on paper, every text harmless, nothing fetched."""

import html
import re
from functools import partial
from itertools import pairwise

import pytest
from msgspec.structs import replace

from guide.record.model import Remark
from guide.show.model import Changed
from guide.show.pages.checklist import render_checklist
from guide.show.pages.log import render_log
from guide.show.pages.plan import render_plan, render_sheet
from guide.show.pages.price import render_price, render_quote, render_tickets
from guide.show.pages.render import clean, escape_markdown
from guide.show.report_cautions import caution
from tests.show import samples
from tests.show.pages_read import Page, blanks

PAGES = {
    "log": render_log,
    "buyer's log": partial(render_log, buyer=True),
    "plan": render_plan,
    "sheet": render_sheet,
    "checklist": render_checklist,
    "price": render_price,
    "history": samples.history_page,
    "paces": samples.paces_page,
    "quote": render_quote,
    "tickets": render_tickets,
    "cutting day": samples.day_page,
}
POISON = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style></title><iframe src=javascript:alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
    "javascript:alert(9)",
    "=HYPERLINK(1)",
    "a\u202eb\u0007c\u0000d\x1b[31m",
    "W" * 400,
    "&lt;b&gt; <!-- ",
]


@pytest.fixture(scope="module")
def full():
    return samples.full_report()


@pytest.fixture(scope="module", params=sorted(PAGES))
def kind(request):
    return request.param


def test_a_page_stands_alone(kind, full):
    """No script, no link out, nothing fetched; the policy forbids it as a second wall. [source] W3C Content Security Policy Level 3."""
    page = PAGES[kind](full)
    parsed = Page(page)
    tags = {tag for tag, _ in parsed.elements}
    assert not tags & {"script", "link", "iframe", "object", "embed", "base", "form"}
    assert "default-src 'none'; img-src data:; style-src 'unsafe-inline'; font-src data:" in parsed.all(
        "meta", "content"
    )
    assert not re.search(r"""(?:src|href|url\()\s*=?\s*["']?(?:https?:)?//""", page)
    assert not [name for _, names in parsed.elements for name in names if name.startswith("on")]


def test_a_page_has_one_title_and_headings_in_order(kind, full):
    """Language, title, main, one h1, and no level skipped: what a screen reader walks by. [source] WCAG 2.2, 1.3.1 and 2.4.2."""
    parsed = Page(PAGES[kind](full))
    levels = [int(tag[1]) for tag, _ in parsed.elements if re.fullmatch("h[1-6]", tag)]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    assert parsed.all("html", "lang") == ["en-GB"]
    assert [tag for tag, _ in parsed.elements].count("main") == 1


def test_every_element_is_closed_where_it_was_opened(kind, full):
    """Well nested from html to the last mark of a picture."""
    assert Page(PAGES[kind](full)).unclosed == []


def test_every_name_in_a_page_is_used_once(kind, full):
    """Ids are unique in a page, so every fill finds its own pattern. [source] HTML standard, the id attribute."""
    parsed = Page(PAGES[kind](full))
    ids = [value for _, name, value in parsed.attributes if name == "id"]
    assert len(ids) == len(set(ids))


@pytest.mark.parametrize("poison", POISON, ids=range(len(POISON)))
def test_hostile_text_stays_text(kind, poison):
    """Whatever a maker writes, the page has the same elements and attributes as with plain words."""
    plain = PAGES[kind](samples.hostile_report("some words"))
    hostile = PAGES[kind](samples.hostile_report(poison))
    assert Page(hostile).elements == Page(plain).elements
    assert "onerror" not in {name for _, name, _ in Page(hostile).attributes}


@pytest.mark.parametrize("poison", [*POISON, "# head", "- item\n\n# head", "a | b", "[a](http://b.example)", "```"])
def test_hostile_text_stays_text_in_markdown_too(kind, poison):
    """The same lines, headings, items and table cells as with plain words, and no tag. [source] CommonMark 0.31, GFM tables."""
    plain = PAGES[kind](samples.hostile_report("some words"), "markdown")
    hostile = PAGES[kind](samples.hostile_report(poison), "markdown")
    assert [shape(line) for line in hostile.splitlines()] == [shape(line) for line in plain.splitlines()]
    assert not re.search(r"<[A-Za-z/!]", hostile)


def shape(line):
    """What Markdown makes of a line: its opening mark, and how many table cells it has."""
    mark = re.match(r"\s*(?:#{1,6} |[-*+] |\d+[.)] |>|```|\|)?", line)[0]
    return mark, len(re.findall(r"(?<!\\)\|", line))


def test_control_and_direction_characters_are_spelled_out():
    """A page never turns its own words round: U+202E and ESC come out as their names."""
    page = render_log(samples.hostile_report("a\u202eb\x1bc"))
    assert "\u202e" not in page
    assert "\x1b" not in page
    assert r"a\u202eb\u001bc" in page


def test_a_template_in_a_note_is_not_run():
    """What looks like a template in a maker's words is shown as written."""
    text = Page(render_log(samples.hostile_report("{{ 7 * 7 }}"))).text
    assert text.count("{{ 7 * 7 }}") > 10
    assert "{{ 7 * 7 }}" in Page(render_quote(samples.hostile_report("{{ 7 * 7 }}"))).text


MARKDOWN = ["# big", "- item", "1. one", "[a](http://b)", "![x](y)", "<b>", "*a* _b_ `c` ~~d~~", "a|b", "www.a.example", "a@b.example",
            "> quote", "+ plus", "$x$", "line\nbreak\n\n# head", "\\*"]  # fmt: skip


@pytest.mark.parametrize("text", MARKDOWN)
def test_markdown_shows_the_same_words(text):
    """A CommonMark reading gives one paragraph with the words as written: no mark of the language is left bare. [source] CommonMark 0.31."""
    escaped = escape_markdown(text)
    assert "\n" not in escaped
    assert "<" not in escaped
    bare = re.sub(r"\\[!-/:-@\[-`{-~]", "", escaped)
    assert not re.search(r"[*_`\[\]|~@$]|://|\bwww\.", bare)
    assert not re.match(r"[#>=]|[-+]\s|\d+[.)]\s", bare)
    plain = (
        re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", escaped).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
    )
    assert plain == " ".join(text.split()) if "\n" in text else plain == text


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_the_log_tells_what_was_measured_beside_what_was_planned(full, fmt):
    """Planned 21 in, made 20 1/4 in, and what was first written."""
    text = blanks(render_log(full, fmt))
    assert "20 1/4 in" in text
    assert "3/4 in under" in text
    assert "first written as 21 in" in text


@pytest.mark.parametrize("fmt", ["html", "markdown"])
def test_a_rehearsal_says_so_loudly_and_once(fmt):
    """Nobody takes a rehearsal for a making: the title and one band say it; a real log does not."""
    rehearsal = render_log(samples.full_report(mode="rehearsal"), fmt)
    assert rehearsal.count("REHEARSAL") == 1
    body = rehearsal.partition("<main>")[2] if fmt == "html" else rehearsal.partition("## ")[2]
    assert "rehears" not in body.lower()
    assert "REHEARSAL" not in render_log(samples.full_report(mode="real"), fmt)


def test_the_log_keeps_corrections_with_their_originals(full):
    """What was put right shows what it was, what it is, and why."""
    text = Page(render_log(full)).text
    for words in ("read the wrong edge", "21 in", "20 1/4 in", "1a2b3c4d", "counted as a break"):
        assert words in text


def test_times_of_the_checklist_start_where_told_and_never_fall(full):
    """The first window begins at the start given, and each begins no earlier than the one before."""
    times = re.findall(r"<time>(\d\d):(\d\d)( next day)?</time>", render_checklist(full))
    minutes = [int(h) * 60 + int(m) + (int(d) * 1440 if d else 0) for h, m, d in times]
    assert minutes[0] == 600
    assert minutes == sorted(minutes)
    assert len(minutes) == len(full.day.rows)


def test_windows_add_up_to_work_breaks_and_waits(full):
    """[identity] The end of the day is the start plus hands-on time, breaks and waits."""
    rows = [window.row for window in full.day.rows]
    hands_on = sum(row.hands_on_s for row in rows)
    breaks = sum(row.end_s - row.start_s for row in rows if row.kind == "break") + sum(
        r.inner_breaks_s + r.inner_rests_s for r in rows
    )
    waits = sum(row.end_s - row.start_s for row in rows if row.kind == "wait")
    assert rows[-1].end_s == pytest.approx(hands_on + breaks + waits)
    assert waits == 3600


def test_every_step_of_the_plan_is_on_the_checklist_with_its_numbers(full):
    """One tick box a step, named, with the sizes that stand large beside it."""
    page = blanks(render_checklist(full))
    parsed = Page(page)
    assert parsed.all("li", "data-step") == [step.key for step in full.steps]
    assert parsed.all("input", "type") == ["checkbox"] * len(full.steps)
    for step in full.steps:
        for shown in step.shows:
            assert f"<b>{shown.text}</b>" in page


def test_a_window_shows_the_factor_it_was_stretched_by(full):
    """[identity] 12 blocks of 60 s at a beginner's factor of 2 are 24 minutes, and the 2 is shown."""
    rows = [window.row for window in full.day.rows]
    (row,) = [row for row in rows if row.key == "quilt/cross" and row.kind == "step"]
    assert row.end_s - row.start_s == 12 * 60 * 2
    text = Page(render_checklist(full)).text
    assert "24 min ×2" in text


def test_a_checklist_says_when_to_decide_and_what_to_do_instead(full):
    """[practice] Rows not joined in time: a plain back; zip not in: an envelope, already sized: (16 + 4)/2 + 2 in = 12 in."""
    text = Page(render_checklist(full)).text
    assert "Use a plain back" in text
    assert "two pieces 21 in wide and 12 in long" in text


def test_both_units_stand_side_by_side_when_asked(full):
    """[identity] 19 in is 48.3 cm, rounded to the mm."""
    assert "≈ 48.3 cm" in Page(render_checklist(full, both_units=True)).text
    assert "cm" not in Page(render_checklist(full)).text


def test_a_caution_is_said_whole_once_and_recalled_after(full):
    """The needle's sentence stands on the checklist exactly once."""
    assert Page(render_checklist(full)).text.count("Machine off before you change it") == 1


def test_the_run_sheet_has_a_row_for_every_step(full):
    """Steps in order, with counts, and a place for what is measured."""
    text = Page(render_sheet(full)).text
    assert all(step.title in text for step in full.steps)
    assert "panel width:" in text
    assert "of 12" in text
    assert "18 in opening, 19 in zip" in blanks(text)  # two sizes beside each other are not one
    assert max(text.index(caution(one, "british")) for one in full.cautions) < text.index(full.steps[0].title)


def test_a_quotation_never_tells_what_it_costs_to_make(full):
    """The customer reads the price, not the maker's labour, cost or margin."""
    for fmt in ("html", "markdown"):
        text = render_quote(full, fmt, valid_until="1 June 2026")
        assert full.cost.price in text
        assert "1 June 2026" in text
        for word in ("labour", "margin", "overhead", "profit"):
            assert word not in Page(text).text.lower()


def test_the_price_page_adds_up(full):
    """[identity] The printed lines add up to the printed cost, to the cent."""
    from decimal import Decimal

    lines = full.cost.lines
    assert sum(Decimal(line.amount) for line in lines) == Decimal(full.cost.cost)
    text = Page(render_price(full)).text
    assert all(line.amount in text for line in lines)


def test_the_care_slip_claims_nothing(full):
    """Fibre content is as entered, blanks where it is not, and no claim of compliance."""
    text = Page(render_tickets(full, fibre="100 % cotton")).text
    assert "100 % cotton" in text
    assert "No claim of compliance" in text


def test_a_quilt_for_an_infant_warns_about_sleep(full):
    """[source] AAP 2022, NHS safer sleep: nothing soft in the sleep space of a child under one; each page says so.

    [practice] A checklist is read at its head before the first step: the warning stands there, not at the last step only.
    """
    infant = replace(full, cautions=(*full.cautions, "infant"), minding=("infant",))
    for render in (render_log, render_plan, render_tickets):
        assert "under one" in Page(render(infant)).text
    for fmt, steps in (("html", "<h2>Step by step"), ("markdown", "## Step by step")):
        for report, warned in ((infant, True), (full, False)):
            head, found, _ = render_checklist(report, fmt).partition(steps)
            assert found
            assert ("under one" in head) is warned
            assert "of scraps or squares to spare" in head


def test_american_words_change_the_program_s_words_and_not_the_maker_s(full):
    """`words: american` says batting; the title the maker wrote stays a cushion."""
    american = replace(full, project=replace(full.project, words="american"))
    text = Page(render_tickets(american)).text
    assert "batting" in text
    assert "Window seat cushion" in text


def test_cleaning_leaves_plain_text_alone():
    """Letters of any script, fractions and line breaks of a note pass as they are."""
    text = "½ in, naïve 縫い目\nsecond line ≈ ° é"
    assert clean(text) == text


def test_a_window_is_as_long_as_its_clock_says(full):
    """[identity] 11:02 to 11:05 is 3 min: whole minutes of the rounded clock, never seconds."""
    for window in full.day.rows:
        (h, m), (to_h, to_m) = ([int(part) for part in end.split(":")] for end in (window.row.start, window.row.end))
        minutes = (to_h - h) * 60 + to_m - m
        long = f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes or 'under 1'} min"
        assert window.length_text == long


def test_of_what_moved_the_first_ten_stand_in_sight_and_the_rest_is_folded(full):
    """What the report tells first is told first, the others behind a fold; nothing is lost."""
    names = ["zip_cut", "zip_opening", "back_width", "pad_width", "outer_seam", *(f"inner_{n}" for n in range(20))]
    moved = tuple(Changed(n, n.replace("_", " "), "2 in", ("1 in",), 50.8, (25.4,)) for n in names)
    many = replace(full, session=replace(full.session, changed=moved))
    page = blanks(render_log(many))
    before, _, folded = page.partition("<details>")
    rows = re.findall(r'<th scope="row">([^<]+)</th><td data-is="planned" class="n">2 in', before)
    assert rows == [
        "zip cut",
        "zip opening",
        "back width",
        "pad width",
        "outer seam",
        *(f"inner {n}" for n in range(5)),
    ]
    assert folded.split("</details>")[0].count("→ 1 in") == 15
    assert "15 more" in render_log(many, "markdown")


def test_the_log_s_first_figure_and_its_table_agree(full):
    """[identity] to the nearest minute: 2:31 and 2:30 are 3 min, 1:00:59 is 1 h 01, and 3:36:40 is 3 h 37."""
    for seconds, said in ((151.0, "3 min"), (150.0, "3 min"), (3659.0, "1 h 01"), (13_000.0, "3 h 37"), (45.0, "45 s")):
        totals = replace(full.session.totals, counted_s=seconds)
        assert f"<b>{said}</b>" in render_log(replace(full, session=replace(full.session, totals=totals)))


def test_every_row_of_the_log_has_a_line_of_its_own():
    """Notes, photos and interruptions in Markdown: a list of lines, and a blank one before the next heading."""
    plan = samples.plan()
    rec = samples.record(plan)
    rec.remarks += [
        Remark("noted", 900 + n, samples.T0, plan.steps[0].key, text) for n, text in enumerate(("one", "two"))
    ]
    rec.remarks.append(Remark("photo", 910, samples.T0, plan.steps[0].key, "a.jpg"))
    text = render_log(samples.full_report(plan, rec=rec), "markdown")
    lines = text.split("\n")
    rows = [line for line in lines if line.startswith("- ") and line.endswith((": one", ": two", "jpg"))]
    assert len(rows) == 3
    assert all(lines[n - 1] == "" for n, line in enumerate(lines) if line.startswith("## ") and n)


def test_a_step_s_cautions_stand_first_and_whole(full):
    """Read before the hands begin: above the instruction, every sentence whole, the two nearest at every step."""
    for fmt, mark, starts in (
        ("html", '<p class="care">', '<li class="step" data-step='),
        ("markdown", "▲ ", "- [ ] **"),
    ):
        page = blanks(html.unescape(render_checklist(full, fmt)))
        parts = page.partition("Step by step")[2].split(starts)[1:]
        rows = [window for window in full.day.rows if window.row.kind == "step"]
        assert len(parts) == len(rows)
        seen = set()
        for window, part in zip(rows, parts, strict=True):
            if window.row.begun:
                continue
            names = window.step.cautions
            wanted = [name for i, name in enumerate(names) if i < 2 or name not in seen]
            at = [part.find(mark + caution(name, "british")) for name in wanted]
            assert -1 not in at, (window.row.key, wanted)
            assert at == sorted(at)
            assert part.count(mark) == len(wanted)
            do = window.step.texts["do"]
            assert not at or max(at) < part.rindex(blanks(do)[:12])
            seen.update(names)


def test_a_step_that_has_nothing_more_to_say_leaves_no_room(full):
    """What is not said is empty to the letter, so that print leaves it out.

    [W3C Selectors Level 3, 6.6.5.11] `:empty` is an element without children: a blank or a line end is one.
    """
    quiet = replace(full, steps=tuple(replace(one, texts=dict.fromkeys(one.texts, "")) for one in full.steps))
    steps = {one.key: one for one in quiet.steps}
    rows = tuple(replace(one, step=steps[one.step.key] if one.step else None) for one in full.day.rows)
    page = render_checklist(replace(quiet, day=replace(full.day, rows=rows)))
    rests = re.findall(r'<p class="rest">(.*?)</p>', page, re.DOTALL)
    assert len(rests) > 3
    assert set(rests) == {""}


@pytest.mark.parametrize(("given", "session", "stands"), [("Ada", "", "Ada"), ("Ada", "Bo", "Ada"), ("", "Bo", "Bo")])
def test_a_ticket_bears_the_maker_who_is_named_else_the_session_s(full, given, session, stands):
    """Invented names."""
    text = Page(render_tickets(replace(full, session=replace(full.session, maker=session)), maker=given)).text
    assert stands in text
    assert not ({"Ada", "Bo"} - {stands}) & set(text.split())


def test_a_checklist_has_its_pictures_where_they_can_be_shown(full):
    """On a page; plain Markdown holds words alone."""
    assert 'class="picture"' in render_checklist(full)
    assert "<svg" not in render_checklist(full, "markdown")
