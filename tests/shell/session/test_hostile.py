"""Words from outside: no control character reaches the terminal, no tag a page."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.session import open_case
from crankpath.shell.session.loop import Conversation
from crankpath.shell.session.open_case import OpenCase
from crankpath.shell.session.terminal import Piped
from crankpath.shell.store import StoreError, open_store

PIECES = (
    "\x1b[31m", "\x1b]0;owned\x07", "\x9b2J", "\x00", "\x08", "\r", "\x7f", "\u202e", "\u2028", "\ufeff",
    "<script>alert(1)</script>", "<img src=http://x.example/a.png onerror=x>", "\"><b onload='x'>",
    "&lt;", "</style>",
    "pos leg .35", "neg leg 9999", " n/a", "rained", "\n",
)  # fmt: skip
WORDS = st.lists(st.one_of(st.sampled_from(PIECES), st.text(max_size=8)), min_size=1, max_size=6).map("".join)


def safe(text: str) -> bool:
    """True if nothing in it moves a cursor, changes a colour or turns the direction of writing."""
    return not any(
        (ord(c) < 32 and c != "\n") or 127 <= ord(c) < 160 or c in "\u202e\u2028\ufeff" for c in text
    )


Talk = Callable[..., tuple[str, Path]]


@pytest.fixture
def talk(small: Knowledge, tmp_path_factory: pytest.TempPathFactory) -> Talk:
    """A whole session of typed lines on a store of its own: what was printed, and the folder."""

    def hold(*lines: str) -> tuple[str, Path]:
        folder = tmp_path_factory.mktemp("hostile")
        out = io.StringIO()
        store = open_store(folder / "cases.sqlite")
        open_case = OpenCase(store, small, lambda: "2031-05-04T08:00:00Z")
        open_case.blank()
        session = Conversation(open_case, Piped(io.StringIO(), out), lambda state: None)
        for line in lines:
            session.take(line.replace("FOLDER", str(folder)))
        store.close()
        return out.getvalue(), folder

    return hold


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=WORDS, name=WORDS)
def test_whatever_is_typed_noted_promised_or_pasted_the_terminal_gets_plain_text(
    talk: Talk, words: str, name: str
) -> None:
    printed, folder = talk(
        f"cranks slowly {words}", "slow", "every time", f"{name}: 12 V", "",
        f"note {words}", f"promise {words}", f"reply pos leg .35 {words}", "n", "n", "",
        f"told {words}\n{name}", "n", "n", "",
        f"@{words}", f"send {words}", f"close {words}", f"kept {words}", words, "n",
        "list", "handover", "cases", "machine", "sheet FOLDER/sheet.html", "send card FOLDER/card.html",
    )  # fmt: skip
    assert safe(printed)
    for page in folder.glob("*.html"):
        html = page.read_text("utf-8")
        assert safe(html)
        for tag in ("<script>alert", "<img", "<b ", "onerror=x>", "</style></"):
            assert tag not in html, tag


def test_a_page_shows_hostile_words_as_words(talk: Talk) -> None:
    tag = "<script>alert(1)</script>"
    _, folder = talk(
        f"cranks slowly {tag}",
        "slow",
        "every time",
        f"{tag}: 12 V",
        "",
        f"note {tag}",
        "sheet FOLDER/sheet.html",
    )
    html = (folder / "sheet.html").read_text("utf-8")
    assert html.count("&lt;script&gt;alert(1)&lt;/script&gt;") >= 3


@pytest.mark.parametrize(
    "word", ["sheet", "export", "export whole", "send card", "import", "record", "chart", "watch 2"]
)
def test_a_word_that_needs_a_file_answers_an_odd_name_in_a_sentence(word, sit, small):
    sitting = sit(small)
    sitting.type("cranks slowly", "slow", "every time", "loader 7: 12 V", "")
    before = sitting.state.events
    for name in ("~nobody-here/a.html", "x" * 300 + ".html", "/dev/null/a.html", "no such folder/a.html"):
        assert sitting.type(f"{word} {name}")[0].startswith("?")
    assert sitting.state.events == before


def test_a_case_that_cannot_be_worked_out_is_told_and_the_next_one_is_begun(sit, small, monkeypatch):
    sitting = sit(small)
    sitting.type("cranks slowly", "slow", "every time", "loader 7: 12 V", "")
    broken, state = sitting.state.id, sitting.state
    work_out = open_case.case_state

    def slips(kb, empty, case_id, *rest):
        if case_id == broken:
            raise KeyError("odd")
        return work_out(kb, empty, case_id, *rest)

    monkeypatch.setattr(open_case, "case_state", slips)
    with pytest.raises(StoreError, match=r"cannot be worked out \(KeyError: 'odd'\)"):
        sitting.open_case.open(broken)
    assert sitting.state == state
    sitting.type("new", "does nothing")
    assert sitting.state.id not in ("", broken)


def test_a_machine_with_a_long_name_is_known_again(sit, small):
    name = "loader of the quarry behind the old mill " * 3
    sitting = sit(small)
    sitting.type("cranks slowly", "slow", "every time", f"{name}: 24 V", "")
    sitting.type("new", "slow", "slow", "every time", f"{name}:")
    assert sitting.state.told["system_voltage"] == 24
