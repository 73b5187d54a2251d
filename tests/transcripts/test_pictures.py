"""The pictures of README: drawn by the program, well-formed, each shown."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from pictures import FOLDER, ROOT, pictures

from crankpath.engine.knowledge.loading import load_knowledge


def test_each_picture_is_shown_in_the_readme_and_fetches_nothing() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    drawn = pictures(load_knowledge())
    assert {file.stem for file in FOLDER.iterdir()} == set(drawn)
    for name, svg in drawn.items():
        assert f".pictures/{name}.svg" in readme, "draw them: python tests/transcripts/pictures.py"
        kept = (FOLDER / f"{name}.svg").read_text("utf-8")
        for text in (svg, kept):
            parts = ElementTree.fromstring(text).iter()
            links = [value for part in parts for name, value in part.attrib.items() if "href" in name]
            assert all(link.startswith("#") for link in links)
            assert "<script" not in text


@pytest.mark.parametrize("name", ["card", "sheet", "chart"])
def test_a_picture_holds_the_page_that_the_program_makes(name: str) -> None:
    kept = "".join(ElementTree.fromstring((FOLDER / f"{name}.svg").read_text("utf-8")).itertext())
    assert {"card": "Where the leads go", "sheet": "Cured by", "chart": "fault chart"}[name] in kept
