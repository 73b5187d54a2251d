"""Cases to write up, and a browser to look at pages with (the tests are skipped where there is none)."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import dataclass
from html import escape, unescape
from pathlib import Path
from typing import Any

import pytest

from crankpath.engine.cases.case import Case
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.outlets.pages import EntryMeta, SheetMeta, SheetNote

LOADER = {
    "system_voltage": 12, "duty": "heavy", "disconnect_switch": "positive", "ground_path": "frame",
    "air_temperature": 18,
}  # fmt: skip
BEFORE = (
    ("crank_behaviour", "slow"), ("occurrence", "every_time"), ("lights_while_cranking", "steady"),
    ("battery_rest_voltage", "12.62"), ("battery_crank_voltage", "10.7"), ("positive_leg_drop", "1.34 V"),
    ("negative_leg_drop", "160 mV"), ("solenoid_contact_drop", "90 mV"), ("starter_crank_voltage", "9.2"),
    ("crank_current", "410"), ("positive_post_drop", "40 mV"), ("disconnect_drop", "0.98 V"),
    ("positive_cable_drop", "0.27 V"), ("starter_stud_drop", "30 mV"),
)  # fmt: skip
AFTER = (
    ("battery_rest_voltage", "12.6"), ("battery_crank_voltage", "10.4"), ("positive_leg_drop", "0.28 V"),
    ("negative_leg_drop", "0.2"), ("solenoid_contact_drop", "0.1"), ("disconnect_drop", "20 mV"),
)  # fmt: skip


@pytest.fixture(scope="module")
def loader(shipped: Knowledge) -> Case:
    """A wheel loader from the complaint to the proof; weighed once, so no test adds to it."""
    case = Case(shipped, LOADER)
    for name, value in BEFORE:
        case.record(name, value)
    case.repaired("renew_disconnect", cured=True)
    for name, value in AFTER:
        case.record(name, value)
    return case


JOINT: tuple[tuple[Any, ...], ...] = (
    ("crank_behaviour", "slow"), ("occurrence", "every_time"), ("lights_while_cranking", "dim"),
    ("battery_rest_voltage", "25.1"), ("battery_crank_voltage", "21"), ("positive_leg_drop", "0.4"),
    ("negative_leg_drop", "3.1"), ("starter_crank_voltage", "17.4"), ("crank_current", "620"),
    ("negative_post_drop", "2.8"), ("negative_cable_drop", "0.2"), ("ground_strap_drop", "0.1"),
    ("starter_mount_drop", "50 mV"), ("solenoid_contact_drop", "0.1"), ("crank_speed", "110"),
    ("negative_post_inspection", "corroded"), ("battery_pair_difference", "0.05"),
    ("", "clean_negative_post"),
    ("negative_post_drop", "20 mV"), ("negative_leg_drop", "0.3"), ("battery_crank_voltage", "20.6"),
    ("starter_crank_voltage", "19.6"), ("crank_current", "600"), ("crank_speed", "160"),
    ("positive_leg_drop", "0.4"),
)  # fmt: skip
RELAY: tuple[tuple[Any, ...], ...] = (
    ("crank_behaviour", "silent"), ("occurrence", "intermittent"), ("battery_rest_voltage", "12.6"),
    ("start_terminal_voltage", "0.2"), ("control_feed_voltage", "12.4"),
    ("key_switch_output_voltage", "12.2"),
    ("interlock_output_voltage", "12.1"), ("relay_coil_voltage", "11.9"), ("relay_output_voltage", "0.1"),
    ("relay_contact_drop", "12.2"), ("start_terminal_voltage", "11.8", False),
    ("relay_contact_drop", "0.1", False), ("wiggle_test", "no_change"), ("start_fuse_inspection", "good"),
    ("relay_ground_drop", "30 mV"), ("battery_crank_voltage", "10.9", False), ("relay_contact_drop", "12.1"),
    ("crank_behaviour", "silent"), ("", "replace_relay"), ("relay_contact_drop", "0.05"),
    ("start_terminal_voltage", "11.7"), ("relay_output_voltage", "11.8"), ("battery_rest_voltage", "12.6"),
    ("battery_crank_voltage", "10.8"), ("crank_speed", "180"),
)  # fmt: skip


@pytest.fixture(params=["joint", "relay"])
def twenty_five(shipped: Knowledge, request: pytest.FixtureRequest) -> Case:
    """Cases of 25 entries, proven: a joint that failed every time, a relay that failed at times."""
    written = request.param
    machine = {"system_voltage": 24, "disconnect_switch": "positive", "ground_path": "frame"}
    case = Case(shipped, machine if written == "joint" else {"system_voltage": 12})
    for name, value, *symptom in JOINT if written == "joint" else RELAY:
        if name:
            case.record(name, value, symptom=not symptom)
        else:
            case.repaired(value, cured=True)
    assert len(case.entries) == 25
    return case


@pytest.fixture(scope="module")
def loader_meta() -> SheetMeta:
    return SheetMeta(
        name="7-114",
        machine="wheel loader 7",
        complaint="cranks slow, worse every morning",
        about="it got worse over three weeks",
        written_at="2026-01-05 14:00 UTC",
        told=tuple(
            EntryMeta(f"2026-01-05T10:{n + 10}:00Z", "technician", "twice" * (n == 5)) for n in range(21)
        ),
        confirmed=("disconnect_contacts",),
        notes=(SheetNote("rained all night", "2026-01-05T09:00:00Z", "operator"),),
    )


@pytest.fixture
def repaired_small(small: Knowledge) -> Case:
    """The small circuit, its positive cable replaced and proven."""
    case = Case(small)
    for name, value in (
        ("crank_behaviour", "slow"), ("positive_leg_drop", "0.9 V"), ("negative_leg_drop", "90 mV"),
        ("battery_crank_voltage", "10.9"),
    ):  # fmt: skip
        case.record(name, value)
    case.repaired("replace_hot_cable", cured=True)
    case.record("positive_leg_drop", "80 mV")
    return case


# -- a browser --------------------------------------------------------------------------

# EntryMeta of the page as it is laid out: what is wider than the window, what of its texts lie on each other.
PROBE = """
for (const d of document.querySelectorAll('details')) d.open = true;
const beside = (a, b) => a.right <= b.left + 1 || b.right <= a.left + 1;
const apart = (a, b) => beside(a, b) || a.bottom <= b.top + 1 || b.bottom <= a.top + 1;
const words = e => e.textContent.trim().slice(0, 40);
const found = {width: innerWidth, scroll: document.documentElement.scrollWidth, wide: [], overlapping: [],
  texts: 0, drawings: [], type: 99, crushed: [], lowest_button: 999};
for (const e of document.querySelectorAll('body *')) {
  const r = e.getBoundingClientRect();
  if (e.closest('.drawing') && e.closest('.drawing') !== e) continue;  // it is moved by itself
  if (r.width && (r.right > innerWidth + 0.5 || r.left < -0.5)) found.wide.push(e.tagName + ' ' + words(e));
}
for (const e of document.querySelectorAll('button, .tap, input[type=text], summary')) {
  const r = e.getBoundingClientRect();
  if (r.height) found.lowest_button = Math.min(found.lowest_button, r.height);
}
const check = (elements, box) => {
  const boxes = elements.map(e => [words(e), box(e)]).filter(([, r]) => r.width > 0);
  found.texts += boxes.length;
  boxes.forEach(([a, r], i) => boxes.slice(i + 1).forEach(([b, s]) => {
    if (!apart(r, s)) found.overlapping.push(a + ' | ' + b);
  }));
};
for (const e of document.querySelectorAll('td, li, dd')) {
  const r = e.getBoundingClientRect();
  if (r.width < 60 && r.height > 70) found.crushed.push(words(e));
}
for (const svg of document.querySelectorAll('svg:not(.mark)')) {
  if (!svg.getBoundingClientRect().width) continue;  // for another width of screen
  const texts = [...svg.querySelectorAll('text')];
  check(texts, e => e.getBoundingClientRect());
  const r = svg.getBoundingClientRect();
  const scale = r.width / svg.viewBox.baseVal.width;
  for (const t of texts) {
    const b = t.getBoundingClientRect();
    if (b.left < r.left - 1 || b.right > r.right + 1 || b.top < r.top - 1 || b.bottom > r.bottom + 1)
      found.wide.push('in a drawing: ' + words(t));
    found.type = Math.min(found.type, parseFloat(t.getAttribute('font-size')) * scale);
  }
  found.drawings.push(Math.round(r.width));
}
const innermost = e => !e.querySelector('li, p') || e.matches('ul.run');
const seen = e => e.getClientRects().length;
const blocks = [...document.querySelectorAll('h1, h2, td, th, dd, dt, p, ul.run, li, summary')];
check(blocks.filter(e => seen(e) && innermost(e) && !e.matches('ul.run li')), e => {
  const range = document.createRange();
  range.selectNodeContents(e);
  return range.getBoundingClientRect();
});
frameElement.previousElementSibling.textContent = JSON.stringify(found);
"""
# Taps and fills in, then tells what stands in the reply.
TAP = """
for (const [selector, text] of TAPS) {
  const e = document.querySelector(selector);
  if (text) { e.value = text; e.dispatchEvent(new Event('input', {bubbles: true})); } else e.click();
}
frameElement.previousElementSibling.textContent = JSON.stringify(TOLD);
"""
REPLY = "document.getElementById('reply').value"
POLICY = re.compile(r"<meta http-equiv=[^>]*>")
ASKS_NOBODY = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--hide-scrollbars",
    "--host-resolver-rules=MAP * ~NOTFOUND",
)  # fmt: skip


@dataclass(frozen=True)
class Browser:
    program: str
    folder: Path

    def run(self, *options: str) -> subprocess.CompletedProcess[str]:
        profile = self.folder / "profile"
        shutil.rmtree(profile, ignore_errors=True)
        command = [self.program, *ASKS_NOBODY, f"--user-data-dir={profile}", *options]
        return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)

    def laid_out(self, *pages: tuple[str, int, int]) -> list[dict[str, Any]]:
        """What the probe tells of each page in a window of its width and height."""
        # The page's own policy would keep the probe out, so it is taken off this copy. No window is
        # as narrow as a phone, so each page is laid out in a frame.
        frames = []
        for page, width, height in pages:
            probed = POLICY.sub("", page).replace("</body>", f"<script>{PROBE}</script></body>")
            size = f'width="{width}" height="{height}" style="border: 0"'
            frames.append(f'<pre class="told"></pre><iframe {size} srcdoc="{escape(probed)}"></iframe>')
        file = self.folder / "frames.html"
        file.write_text(f'<!DOCTYPE html><meta charset="utf-8">{"".join(frames)}', "utf-8")
        done = self.run("--window-size=1200,1400", "--dump-dom", file.as_uri())
        told = re.findall(r'<pre class="told">(.+?)</pre>', done.stdout, re.DOTALL)
        assert len(told) == len(pages), done.stderr
        return [json.loads(unescape(found)) for found in told]

    def tapped(self, *answers: tuple[str, list[tuple[str, str]]], told: str = REPLY) -> list[str]:
        """What each page tells once its buttons were tapped and its fields filled, as (selector, text)."""
        frames = []
        for page, taps in answers:
            script = f"<script>{TAP.replace('TAPS', json.dumps(taps)).replace('TOLD', told)}</script></body>"
            probed = POLICY.sub("", page).replace("</body>", script)
            frames.append(f'<pre class="told"></pre><iframe srcdoc="{escape(probed)}"></iframe>')
        file = self.folder / "taps.html"
        file.write_text(f'<!DOCTYPE html><meta charset="utf-8">{"".join(frames)}', "utf-8")
        done = self.run("--dump-dom", file.as_uri())
        found = re.findall(r'<pre class="told">(.*?)</pre>', done.stdout, re.DOTALL)
        assert len(found) == len(answers), done.stderr
        return [json.loads(unescape(text)) for text in found]

    def asked(self, pages: list[tuple[str, int]], library: str, script: str) -> list[str]:
        """What a script with a library tells of each page in a window of its width, given time to think."""
        told = self.folder / "library.js"
        told.write_text(library, "utf-8")
        frames = []
        for page, width in pages:
            run = f'<script src="{told.as_uri()}"></script><script>{script}</script></body>'
            probed = escape(POLICY.sub("", page).replace("</body>", run))
            size = f'width="{width}" height="844"'
            frames.append(f'<pre class="told"></pre><iframe {size} srcdoc="{probed}"></iframe>')
        file = self.folder / "asked.html"
        file.write_text(f'<!DOCTYPE html><meta charset="utf-8">{"".join(frames)}', "utf-8")
        done = self.run("--virtual-time-budget=60000", "--dump-dom", file.as_uri())
        found = re.findall(r'<pre class="told">(.*?)</pre>', done.stdout, re.DOTALL)
        return [unescape(text) for text in found]

    def printed(self, page: str, paper: str) -> int:
        """How many sheets of that paper the page takes."""
        file, out = self.folder / "page.html", self.folder / "page.pdf"
        # The policy lets in the style by its hash, so the paper is told in a style of its own.
        size = f"<style>@page {{ size: {paper}; }}</style></head>"
        file.write_text(POLICY.sub("", page).replace("</head>", size), "utf-8")
        self.run(f"--print-to-pdf={out}", "--no-pdf-header-footer", file.as_uri())
        counts = re.findall(rb"/Count (\d+)", out.read_bytes())
        assert counts
        return max(map(int, counts))

    def dumped(self, page: str, *options: str) -> str:
        """The document after loading, the page being as it is sent."""
        file = self.folder / "page.html"
        file.write_text(page, "utf-8")
        return self.run(*options, "--dump-dom", file.as_uri()).stdout


@pytest.fixture
def browser(tmp_path: Path) -> Browser:
    program = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
    if program is None:
        pytest.skip("no Chromium here: the pages were not looked at in a browser")
    return Browser(program, tmp_path)
