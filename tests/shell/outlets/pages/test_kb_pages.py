"""The knowledge base as pages: linked, whole, harmless, and readable on any screen."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.main import cli
from crankpath.shell.outlets.pages.kb_pages import kb_pages, page_name

HOSTILE = '<script>alert(1)</script>" onmouseover="x'


@pytest.fixture(scope="module")
def pages(shipped: Knowledge) -> dict[str, str]:
    """The shipped ones, which take seconds: for slow tests."""
    return dict(kb_pages(shipped, {"faults/positive_cable": ("cases/one.yaml",)}))


@pytest.fixture(params=["small", pytest.param("shipped", marks=pytest.mark.slow)])
def base_and_pages(request: pytest.FixtureRequest) -> tuple[Knowledge, dict[str, str]]:
    kb = request.getfixturevalue(request.param)
    return kb, dict(kb_pages(kb, {})) if request.param == "small" else request.getfixturevalue("pages")


BaseAndPages = tuple[Knowledge, dict[str, str]]


def test_each_fault_measurement_and_rule_has_a_page(base_and_pages: BaseAndPages) -> None:
    kb, pages = base_and_pages
    for section in ("faults", "measurements", "rules"):
        for id_ in getattr(kb, section):
            assert page_name(f"{section}/{id_}") in pages


def test_every_link_leads_to_a_page_that_is_there(base_and_pages: BaseAndPages) -> None:
    _, pages = base_and_pages
    linked = {href for page in pages.values() for href in re.findall(r'href="([^"#]+)"', page)}
    assert linked <= set(pages)
    assert set(pages) - linked == set()  # and every page is led to
    anchors = set(re.findall(r'href="#([^"]+)"', pages["index.html"]))
    assert anchors == set(re.findall(r'<section id="([^"]+)"', pages["index.html"]))


def test_no_page_asks_for_anything_else(base_and_pages: BaseAndPages) -> None:
    for name, page in base_and_pages[1].items():
        if name == "index.html":  # its search is a script of its own
            page = re.sub(r"<script>.*?</script>", "", page, flags=re.DOTALL)
        assert not re.search(r"<(script|img|link|iframe|object|form)\b|\bsrc=|url\(|@import", page)
        assert "default-src 'none'" in unescape(page)


def test_pages_of_a_small_base_have_drawings_cases_and_the_circuit(small: Knowledge) -> None:
    pages = dict(kb_pages(small, {"faults/hot_cable": ("cases/one.yaml",)}))
    page = pages["fault-hot_cable.html"]
    assert 'href="rule-shows_across.html"' in page
    assert 'href="repair-replace_hot_cable.html"' in page
    assert "cases/one.yaml" in page
    for name in ("fault-hot_cable.html", "rule-shows_across.html", "measurement-positive_leg_drop.html"):
        drawings = re.findall(r"<svg.*?</svg>", pages[name], re.DOTALL)
        assert drawings
        for drawing in drawings:
            ElementTree.fromstring(drawing)
    assert "R red lead, B black lead" in pages["measurement-positive_leg_drop.html"]
    assert "<svg" not in pages["measurement-crank_behaviour.html"]  # nothing to hold a lead to
    assert "<svg" in pages["index.html"]


@pytest.mark.slow
def test_a_fault_s_page_has_place_rules_cases_and_its_drawings(pages: dict[str, str]) -> None:
    page = pages["fault-positive_cable.html"]
    assert re.search(r"shipped, faults/positive_run\.yaml:\d+", page)
    assert 'href="rule-slight_resistance_shows_across.html"' in page
    assert 'href="repair-replace_positive_cable.html"' in page
    assert "cases/one.yaml" in page
    drawings = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    assert len(drawings) == 3  # a drawing for each degree
    for drawing in drawings:
        ElementTree.fromstring(drawing)


@pytest.mark.slow
def test_a_rule_s_page_draws_its_range_beside_the_healthy_one(pages: dict[str, str]) -> None:
    page = pages["rule-slight_resistance_shows_across.html"]
    (drawing,) = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    words = " ".join(t.text or "" for t in ElementTree.fromstring(drawing).iter() if t.tag.endswith("}text"))
    assert re.search(r"\d V; sound (up to|\d+ to|\d+ mV to) [\d.]+ m?V", words)
    assert "nine in ten" in pages["fault-positive_cable.html"]


@pytest.mark.slow
def test_a_reading_s_page_shows_where_the_leads_go(pages: dict[str, str]) -> None:
    page = pages["measurement-positive_leg_drop.html"]
    assert "R red lead, B black lead" in page
    assert "<svg" not in pages["measurement-crank_behaviour.html"]  # nothing to hold a lead to


@pytest.mark.slow
def test_the_index_draws_the_circuit_and_lists_every_fault(pages: dict[str, str], shipped: Knowledge) -> None:
    index = pages["index.html"]
    assert index.count("<svg") == 2
    assert all(page_name(f"faults/{id_}") in index for id_ in shipped.faults)


class Tags(HTMLParser):
    """The tags and attributes that a browser sees."""

    def __init__(self) -> None:
        super().__init__()
        self.names: list[str] = []
        self.attributes: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes += [name for name, _ in attrs]


def test_text_of_the_knowledge_base_stays_text(small: Knowledge) -> None:
    fault = next(iter(small.faults.values()))
    bad = replace(small, faults={**small.faults, fault.id: replace(fault, label=HOSTILE, about=HOSTILE)})
    pages = dict(kb_pages(bad, {f"faults/{fault.id}": (HOSTILE,)}))
    for name, page in pages.items():
        tags = Tags()
        tags.feed(page)
        assert tags.names.count("script") == (name == "index.html")
        assert [name for name in tags.attributes if name.startswith("on")] == []
    assert "&lt;script&gt;" in pages[page_name(f"faults/{fault.id}")]


WINDOWS = [("phone", 360, 780), ("desktop", 1280, 900)]


@pytest.mark.slow
@pytest.mark.parametrize(("window", "width", "height"), WINDOWS, ids=[w[0] for w in WINDOWS])
def test_nothing_overlaps_or_runs_out_of_the_window(
    browser: Any, pages: dict[str, str], window: str, width: int, height: int
) -> None:
    looked_at = (
        "index.html", "fault-positive_cable.html", "measurement-positive_leg_drop.html",
        "rule-open_joint_takes_it_all.html", "caution-ground_off_first.html",
    )  # fmt: skip
    for name, found in zip(
        looked_at, browser.laid_out(*((pages[name], width, height) for name in looked_at)), strict=True
    ):
        assert found["scroll"] <= found["width"], (window, name)
        assert found["wide"] == [], (window, name)
        assert found["overlapping"] == [], (window, name)
        assert found["texts"] > 5, name


def test_the_command_writes_every_page_of_a_base(tmp_path: Path, small: Knowledge) -> None:
    done = CliRunner().invoke(cli, ["--alone", small.folders[0], "kb", "pages", str(tmp_path / "pages")])
    assert done.exit_code == 0, done.output
    names = {page.name for page in (tmp_path / "pages").iterdir()}
    assert {"index.html", "fault-hot_cable.html"} <= names


def test_a_place_that_cannot_hold_pages_is_told(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("keep", "utf-8")
    done = CliRunner().invoke(cli, ["kb", "pages", str(tmp_path / "mine.txt")])
    assert "the pages cannot be written" in str(done.exception)
    assert (tmp_path / "mine.txt").read_text("utf-8") == "keep"
