"""The pictures of README: drawn by the program, well-formed, each shown."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from pictures import FOLDER, PICTURES, ROOT

from crankpath.engine.knowledge.records import Knowledge


def test_every_picture_is_kept_and_shown_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    assert {file.stem for file in FOLDER.iterdir()} >= set(PICTURES)
    assert all(f".pictures/{name}.svg" in readme for name in PICTURES)


def fetches_nothing(svg: str) -> None:
    parts = ElementTree.fromstring(svg).iter()
    links = [value for part in parts for name, value in part.attrib.items() if "href" in name]
    assert all(link.startswith("#") for link in links)
    assert "<script" not in svg


@pytest.mark.parametrize("name", PICTURES)
def test_a_kept_picture_fetches_nothing(name: str) -> None:
    fetches_nothing((FOLDER / f"{name}.svg").read_text("utf-8"))


@pytest.mark.parametrize("name", ["session", "card", "sheet", pytest.param("chart", marks=pytest.mark.slow)])
def test_a_picture_that_is_drawn_again_fetches_nothing(kb: Knowledge, name: str) -> None:
    fetches_nothing(PICTURES[name](kb))


@pytest.mark.parametrize("name", ["card", "sheet", "chart"])
def test_a_picture_holds_the_page_that_the_program_makes(name: str) -> None:
    kept = "".join(ElementTree.fromstring((FOLDER / f"{name}.svg").read_text("utf-8")).itertext())
    assert {"card": "Where the leads go", "sheet": "Cured by", "chart": "fault chart"}[name] in kept
