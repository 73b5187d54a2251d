"""Pages looked at with axe-core, from the npm registry; skipped where npm or Chromium is missing."""

from __future__ import annotations

import shutil
import subprocess
from typing import Any

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.chart.html import chart_html
from crankpath.shell.outlets.chart.making import chart_of
from crankpath.shell.outlets.pages import SheetMeta, card_page, sheet_html, sheet_of
from crankpath.shell.outlets.pages.kb_pages import kb_pages

pytestmark = pytest.mark.slow
RUN = """
axe.run(document).then(r => {
  frameElement.previousElementSibling.textContent = JSON.stringify(
    r.violations.filter(v => ['serious', 'critical'].includes(v.impact)).map(v => [v.id, v.nodes[0].html]));
});
"""


@pytest.fixture(scope="module")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    if shutil.which("npm") is None:
        pytest.skip("no npm here: the pages were not looked at with axe-core")
    folder = tmp_path_factory.mktemp("axe")
    command = ["npm", "install", "--prefix", str(folder), "--no-audit", "--no-fund", "axe-core@4"]
    if subprocess.run(command, capture_output=True, timeout=120, check=False).returncode:
        pytest.skip("axe-core could not be had from the npm registry")
    return (folder / "node_modules/axe-core/axe.min.js").read_text("utf-8")


def test_no_page_has_a_serious_finding(
    browser: Any, axe: str, loader: Case, loader_meta: SheetMeta, shipped: Knowledge,
) -> None:  # fmt: skip
    pages = [sheet_html(sheet_of(loader, loader_meta))]
    asked = loader.what_if("occurrence", "intermittent")
    pages += [card_page(asked, name, "7-114") for name in ("positive_leg_drop", "crank_behaviour")]
    pages.append(chart_html(chart_of(Case(shipped, {"system_voltage": 24}), 1)))
    written = dict(kb_pages(shipped, {}))
    pages += [written[name] for name in ("index.html", *sorted(written)[:2])]
    seen = [(page, width) for page in pages for width in (320, 390, 794, 1280)]
    assert browser.asked(seen, axe, RUN) == ["[]"] * len(seen)
