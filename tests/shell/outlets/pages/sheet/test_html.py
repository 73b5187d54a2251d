from __future__ import annotations

import re
import unicodedata
from base64 import b64encode
from dataclasses import replace
from hashlib import sha256
from typing import Any
from xml.etree import ElementTree

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.messages import reading_message, whole_message
from crankpath.shell.outlets.pages import (
    EntryMeta,
    SheetMeta,
    SheetNote,
    card_page,
    sheet_html,
    sheet_json,
    sheet_of,
    sheet_text,
)

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style><script>alert(1)</script>",
    "<svg onload=alert(1)>",
    "{{ 7 * 7 }}{% raw %}",
    "\x1b[31mred\x1b[0m\x1b]0;title\x07",
    "a\x9b31mb\x00c\x7fd",
    "\u202egnp.exe\u2066\u200f",
    "&lt;b&gt; &amp; ]]> -->",
    "javascript:alert(1)",
)
ELEMENTS = {
    "a", "html", "head", "meta", "title", "style", "body", "header", "footer", "h1", "h2", "h3", "p", "b",
    "br", "bdi",
    "div", "span", "section", "table", "thead", "tbody", "tr", "th", "td", "ul", "ol", "li", "dl", "dt", "dd",
    "details", "summary", "main", "label", "input", "textarea", "button", "script", "svg",
    "g", "path", "circle", "rect", "polyline", "polygon", "text", "desc",
}  # fmt: skip


def parsed(page: str) -> ElementTree.Element:
    """The page, which is well-formed XML as well, so that nothing depends on how slips are mended."""
    return ElementTree.fromstring(page.removeprefix("<!DOCTYPE html>\n"))


def names_of(page: str) -> set[str]:
    return {element.tag.rpartition("}")[2] for element in parsed(page).iter()}


def nothing_hostile(text: str) -> None:
    for letter in text:
        assert letter == "\n" or unicodedata.category(letter) not in ("Cc", "Cf", "Cs"), repr(letter)


def page_is_safe(page: str) -> None:
    nothing_hostile(page)
    assert names_of(page) <= ELEMENTS
    for element in parsed(page).iter():
        for name, value in element.attrib.items():
            assert not name.lower().startswith("on")
            assert name not in ("style", "src", "srcdoc", "action")
            assert name != "href" or re.fullmatch(r"#no-\d+", value), value  # within the page only
            assert "javascript:" not in value
    kept = [e.text or "" for e in parsed(page).iter() if e.tag in ("style", "script")]
    assert "alert(1)" not in "".join(kept)
    assert len(kept) <= 2


@pytest.fixture(scope="module")
def sheet_page(loader: Case, loader_meta: SheetMeta) -> str:
    return sheet_html(sheet_of(loader, loader_meta))


def test_the_page_is_well_formed_and_holds_only_known_elements(sheet_page: str) -> None:
    page_is_safe(sheet_page)


def test_the_page_asks_nobody_for_anything(sheet_page: str, loader: Case) -> None:
    for page in (sheet_page, card_page(loader, "positive_leg_drop")):
        outside = page.replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?:|//[a-z]|url\(|@import|<link|<img|<iframe|<script .|fetch", outside)


def test_the_policy_lets_in_the_pages_own_style_and_nothing_else(sheet_page: str) -> None:
    style = re.search(r"<style>(.*?)</style>", sheet_page, re.DOTALL)
    assert style
    digest = b64encode(sha256(style[1].encode()).digest()).decode()
    policy = parsed(sheet_page).find("head/meta[@http-equiv='Content-Security-Policy']")
    assert policy is not None
    assert policy.attrib["content"] == (
        f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    )
    assert sheet_page.count("<style>") == 1


def test_marks_can_be_told_without_colour(sheet_page: str) -> None:
    cells = ["".join(cell.itertext()) for cell in parsed(sheet_page).iter("td")]
    assert {"pass", "near", "FAIL"} <= set(cells)
    marks = re.findall(r'<svg class="mark".*?</svg>', sheet_page)
    assert len(set(marks)) == 3


def test_everything_that_a_sheet_must_hold_is_on_the_page(sheet_page: str, loader: Case) -> None:
    said = " ".join(" ".join(parsed(sheet_page).itertext()).split())
    for text in (
        "wheel loader 7", "cranks slow, worse every morning", "at most 0.328 V", "0.98 V", "20 mV",
        "before the repair: 12.62 V in all", "after the repair: 12.60 V in all", "inside the battery",
        "burnt contacts of the disconnect switch", "confirmed", "renew the disconnect switch",
        "Ruled out, and by what", "disconnect switch drop 0.98 V", "Before and after", "rained all night",
        "Neutral/park, brake on, chock wheels.", "SAE J541", loader.kb.version, "2026-01-05 10:10", "10:15",
    ):  # fmt: skip
        assert text in said, text


@pytest.mark.parametrize("evil", HOSTILE)
def test_what_people_write_reaches_the_sheet_as_text_only(repaired_small: Case, evil: str) -> None:
    told = (EntryMeta(evil, evil, evil),) * len(repaired_small.entries)
    meta = SheetMeta(evil, evil, evil, evil, evil, told, notes=(SheetNote(evil, evil, evil),))
    sheet = sheet_of(repaired_small, meta)
    page = sheet_html(sheet)
    page_is_safe(page)
    seen = " ".join("".join(parsed(page).itertext()).split())
    visible = "".join(c for c in evil if unicodedata.category(c) not in ("Cc", "Cf")).replace(" ", "")
    assert visible in seen.replace(" ", "")
    nothing_hostile(sheet_text(sheet))
    assert sheet_json(sheet).isascii()


@pytest.mark.parametrize("evil", HOSTILE)
def test_what_a_shops_knowledge_says_reaches_nothing_unescaped(
    small: Knowledge, repaired_small: Case, evil: str
) -> None:
    m = small.measurements["positive_leg_drop"]
    said = {"label": evil, "asks": evil, "leads": evil, "meter": evil, "misleads": evil, "steps": (evil,)}
    kb = replace(
        small,
        measurements={**small.measurements, m.id: replace(m, **said)},  # type: ignore[arg-type]
        faults={k: replace(f, label=evil) for k, f in small.faults.items()},
        cautions={k: replace(c, text=evil, short=evil) for k, c in small.cautions.items()},
        points={k: replace(p, label=evil, short=evil, touch=evil) for k, p in small.points.items()},
        segments={k: replace(s, label=evil) for k, s in small.segments.items()},
    )
    case = Case(kb)
    for name, value in (("crank_behaviour", "slow"), ("positive_leg_drop", "0.9 V")):
        case.record(name, value)
    page_is_safe(sheet_html(sheet_of(case)))
    page_is_safe(card_page(case, "positive_leg_drop", evil))
    nothing_hostile(sheet_text(sheet_of(case)))
    nothing_hostile(whole_message(case, "positive_leg_drop"))
    nothing_hostile("".join(reading_message(case, ["positive_leg_drop"])))


# -- in a browser ---------------------------------------------------------------------------

LONG = "Zylinderkopfverschraubungsdrehmomentschluessel" * 4


PHONE, A4, LETTER = (390, 844), (794, 1123), (816, 1056)


def test_the_failing_part_and_the_rows_that_speak_for_it_are_named(sheet_page: str) -> None:
    said = " ".join(" ".join(parsed(sheet_page).itertext()).split())
    assert "by no. 12" in said
    assert "THE FAULT: contacts of" in said
    assert "disconnect switch drop 0.98 V (no. 12 ):" in said
    assert "positive leg drop 1.34 V (no. 6 ):" in said
    for link in parsed(sheet_page).iter("a"):
        assert f'<tr id="{link.attrib["href"][1:]}"' in sheet_page
    assert "could change" not in said


def test_a_control_side_is_drawn_where_it_failed(shipped: Knowledge, loader: Case) -> None:
    assert shipped.segments["key_switch"].circuit == "control"
    page = sheet_html(sheet_of(loader, SheetMeta(confirmed=("key_switch",))))
    assert "The control side, where it failed" in page
    assert "THE FAULT:" in page.partition("The control side, where it failed")[2]
    assert "The control side" not in sheet_html(sheet_of(loader, SheetMeta()))


def test_a_sheet_fits_phone_and_paper_without_overlap(browser: Any, sheet_page: str) -> None:
    sizes = ((320, 700), PHONE, A4, LETTER, (1280, 900))
    for size, found in zip(sizes, browser.laid_out(*((sheet_page, *size) for size in sizes)), strict=True):
        assert (found["width"], found["scroll"]) == (size[0], size[0])
        assert found["wide"] == []
        assert found["overlapping"] == []
        assert found["crushed"] == []
        assert found["texts"] > 100
        assert len(found["drawings"]) == (1 if size[0] < 620 else 2)


@pytest.mark.slow
def test_endless_words_do_not_widen_a_page(browser: Any, loader: Case, loader_meta: SheetMeta) -> None:
    meta = replace(loader_meta, machine=LONG, complaint=LONG, about=LONG, name=LONG, notes=(SheetNote(LONG),))
    page = sheet_html(sheet_of(loader, meta))
    for size, found in zip((PHONE, A4), browser.laid_out((page, *PHONE), (page, *A4)), strict=True):
        assert (found["scroll"], found["wide"], found["overlapping"]) == (size[0], [], [])


@pytest.mark.slow
def test_the_probe_sees_what_is_too_wide_and_what_overlaps(browser: Any, sheet_page: str) -> None:
    spoiled = sheet_page.replace("</style>", "h2 { width: 900px; } tbody tr { position: absolute; }</style>")
    (found,) = browser.laid_out((spoiled, *PHONE))
    assert found["wide"]
    assert found["overlapping"]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_whole_case_prints_on_one_sheet(browser: Any, sheet_page: str, paper: str) -> None:
    assert browser.printed(sheet_page, paper) == 1


@pytest.mark.slow
@pytest.mark.slow
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_twenty_five_entries_print_on_one_sheet(
    browser: Any, twenty_five: Case, loader_meta: SheetMeta, paper: str
) -> None:
    told = (*loader_meta.told, *loader_meta.told[-4:])
    fields = (("job", "4711"), ("serial", "LX-20331"), ("hours", "8412"), ("reference", "PO 9921"))
    meta = replace(loader_meta, told=told, fields=fields, confirmed=())
    assert browser.printed(sheet_html(sheet_of(twenty_five, meta)), paper) == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_short_case_prints_on_one_sheet(browser: Any, repaired_small: Case, paper: str) -> None:
    assert browser.printed(sheet_html(sheet_of(repaired_small)), paper) == 1


@pytest.mark.slow
def test_no_script_runs_in_a_page(browser: Any, repaired_small: Case) -> None:
    page = sheet_html(sheet_of(repaired_small, SheetMeta(name=HOSTILE[0], notes=(SheetNote(HOSTILE[2]),))))
    script = "<script>document.title = 'it ' + 'ran'</script></body>"
    assert "<title>it ran</title>" not in browser.dumped(page.replace("</body>", script))
    assert "<title>it ran</title>" in browser.dumped(f"<!DOCTYPE html><body>{script}")


@pytest.mark.slow
def test_a_page_sends_no_request(browser: Any, sheet_page: str, loader: Case) -> None:
    def hosts_asked(page: str) -> set[str]:
        log = browser.folder / "net.json"
        browser.dumped(page, f"--log-net-log={log}")
        return set(re.findall(r'"url":"(?:https?|wss?|ftp)://([^/"]*)', log.read_text("utf-8")))

    # What the browser asks by itself, page or no page, does not count.
    own = hosts_asked("<!DOCTYPE html><title>empty</title>")
    card = card_page(loader, "positive_leg_drop")
    assert hosts_asked(sheet_page) - own == set()
    assert hosts_asked(card) - own == set()
    asking = '<!DOCTYPE html><img src="http://asked.invalid/picture.png">'
    assert hosts_asked(asking) - own == {"asked.invalid"}
