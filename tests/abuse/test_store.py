"""A store with bytes overwritten, cut or put in: opened, set aside or refused; nothing false in it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crankpath.shell.store import BadEvent, StoreError, open_store

Within = Callable[[float], AbstractContextManager[None]]
NOON = "2031-05-04T12:00:00Z"
HOW = ("overwrite", "cut", "insert")


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for variable in ("XDG_DATA_HOME", "XDG_STATE_HOME", "TMPDIR"):
        monkeypatch.setenv(variable, str(tmp_path / "own"))


def filled(place: Path) -> dict[str, set[str]]:
    """A store of three cases; the ids of the entries of each."""
    store = open_store(place)
    entries = {}
    for number in range(3):
        case = store.create_case(f"Bagger Süd {number}", at=NOON).case_id
        for step in range(8):
            store.append(case, "note", {"text": f"note {step} " * 20}, at=NOON)
        entries[case] = {event.id for event in store.events(case)}
    store.close()
    return entries


damages = st.lists(
    st.tuples(st.integers(0, 10**6), st.integers(0, 5000), st.binary(max_size=40), st.sampled_from(HOW)),
    min_size=1,
    max_size=3,
)


def harmed(content: bytes, damage: list[tuple[int, int, bytes, str]]) -> bytes:
    for place, size, put_in, how in damage:
        at = place % (len(content) + 1)
        match how:
            case "overwrite":
                content = content[:at] + put_in + content[at + len(put_in) :]
            case "cut":
                content = content[:at] + content[at + size :]
            case _:
                content = content[:at] + put_in + content[at:]
    return content


def test_a_harmed_store_is_opened_or_refused_in_a_sentence_and_holds_nothing_false(
    plenty: settings, within: Within, tmp_path: Path
) -> None:
    whole = tmp_path / "whole.sqlite"
    entries = filled(whole)
    content = whole.read_bytes()
    folder = tmp_path / "harmed store"

    @plenty
    @given(damages)
    def check(damage: list[tuple[int, int, bytes, str]]) -> None:
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        place = folder / "cases.sqlite"
        place.write_bytes(harmed(content, damage))
        kept = place.read_bytes()
        with within(30.0):
            try:
                store = open_store(place)
                found = {
                    case.id: {event.id for event in store.events(case.id)}
                    for case in store.cases(open_only=False, limit=100)
                }
                store.close()
            except StoreError as slip:
                assert "\n" not in str(slip)  # noqa: PT017
                # refused or found damaged: the next opening has it, or it is still as it was
                assert any(file.is_file() for file in folder.iterdir())
                return
        for case, ids in found.items():
            assert ids <= entries[case]
        if sum(map(len, found.values())) < sum(map(len, entries.values())):
            assert any(file.read_bytes() == kept for file in folder.iterdir() if file != place)

    check()


@pytest.mark.parametrize("shape", ["export", "event"])
def test_a_mapping_of_any_shape_is_taken_in_or_refused(
    shape: str, plenty: settings, within: Within, tmp_path: Path
) -> None:
    filled(tmp_path / "cases.sqlite")
    store = open_store(tmp_path / "cases.sqlite")
    export = store.export_case(store.cases(open_only=False)[0].id)
    anything = st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=10), inner, max_size=3),
        max_leaves=8,
    )

    @plenty
    @given(st.sampled_from(sorted(export)), st.sampled_from(sorted(export["events"][1])), anything)
    def check(name: str, part: str, value: object) -> None:
        if shape == "export":
            data = {**export, name: value}
        else:
            data = {**export, "events": [export["events"][0], {**export["events"][1], part: value}]}
        with within(10.0):
            try:
                store.import_case(data)
            except BadEvent as slip:
                assert str(slip)  # noqa: PT017

    check()
    store.close()
