"""Any message pasted as a reply is taken apart, whatever it holds."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.reader.reader import default_facts, read_text

Within = Callable[[float], AbstractContextManager[None]]


TALK = [
    "0.35 V", "350mv", "12,6", "OL", "is", "=", ":", "reads", "was", "cannot", "no clamp", "none",
    "and", "but", "not", "while it cranked ok", "when it failed", "yes", "no", "\n", "\n\n", "-", "--",
    "...", "?", "??", "(", ")", "=>", "✔", "👍", "\t", "$$$", "1.", "2)", "a)", "twice", "0.2 then 0.4",
    "0.2-0.4", "<script>",
]  # fmt: skip


def messages(kb: Knowledge) -> st.SearchStrategy[str]:
    """Messages that nearly say something, and ones that say nothing at all."""
    names = [name for m in kb.measurements.values() for name in (m.label, m.short, m.id, *m.aliases)]
    values = [value for m in kb.measurements.values() for value in m.bands]
    piece = (
        st.sampled_from(names)
        | st.sampled_from(values)
        | st.sampled_from(list(kb.complaints))
        | st.sampled_from(TALK)
        | st.text(max_size=12)
        | st.floats(allow_nan=False).map(str)
    )
    pieces = st.lists(piece, max_size=25)
    return pieces.map(" ".join) | pieces.map("".join) | st.text(max_size=400)


def test_every_message_is_taken_apart_and_nothing_is_invented(
    kb: Knowledge, plenty: settings, within: Within
) -> None:
    facts = default_facts(kb)
    expecting = st.none() | st.sampled_from(sorted(kb.measurements))

    @plenty
    @given(messages(kb), expecting)
    def check(text: str, wanted: str | None) -> None:
        with within(1.0):
            parsed = read_text(text, kb, facts, wanted)
        for reading in parsed.taken:
            assert reading.measurement in kb.measurements
            value, bands = reading.understood.value, kb.measurements[reading.measurement].choices
            assert value in bands if isinstance(value, str) else value == value
        for doubt in parsed.asked:
            assert doubt.message

    check()


def test_a_very_long_message_takes_no_longer_than_it_is_long(kb: Knowledge, within: Within) -> None:
    facts = default_facts(kb)
    for text in ("0.35 V " * 2000, "positive leg drop " * 1000, "a" * 50_000, "(" * 20_000, "0.1-" * 5000):
        with within(2.0):
            read_text(text, kb, facts)
