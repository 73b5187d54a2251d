"""Strict YAML: what is read, what is refused, and that a hostile text ends in one sentence."""

from __future__ import annotations

import json
import subprocess
import sys
import textwrap
import time
from itertools import pairwise
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from crankpath.engine.knowledge import yaml_source
from crankpath.engine.knowledge.records import Origin
from crankpath.engine.knowledge.yaml_source import DEEPEST, LARGEST, read_yaml


def data(text: str | bytes) -> object:
    document = read_yaml(text, "f.yaml")
    assert document.problems == ()
    return document.data


def told(text: str | bytes) -> list[str]:
    return [str(problem) for problem in read_yaml(text, "f.yaml").problems]


LOOKALIKES = (
    "yes No on OFF True FALSE y ~ Null 1:30 012 0x1f 0o17 1_000 .5 5. .inf .nan 2026-01-05 "
    "2026-01-05T10:00:00Z + 1e ="
)


@pytest.mark.parametrize("written", LOOKALIKES.split())
def test_what_other_readers_turn_into_something_else_stays_the_text_it_is(written: str) -> None:
    assert data(f"a: {written}") == {"a": written}


@pytest.mark.parametrize(
    ("written", "meant"),
    [("true", True), ("false", False), ("null", None), ("", None), ("0", 0), ("-12", -12), ("0.5", 0.5),
     ("1e3", 1000.0), ("-1.5e-3", -0.0015), ("+5", 5), ('"5"', "5"), ("'true'", "true"), ("5 V", "5 V")],
)  # fmt: skip
def test_plain_words_and_decimal_numbers_are_read(written: str, meant: object) -> None:
    read = data(f"a: {written}")
    assert isinstance(read, dict)
    assert read["a"] == meant
    assert type(read["a"]) is type(meant)


def test_keys_are_always_text() -> None:
    assert data("on: 1\n12: 2\nnull: 3\ntrue: 4\n") == {"on": 1, "12": 2, "null": 3, "true": 4}


def test_every_key_and_value_knows_its_line_and_column() -> None:
    document = read_yaml("faults:\n  post:\n    kinds: [a, bb, {c: d}]\n", "f.yaml")
    assert document.origin(("faults", "post")) == Origin("f.yaml", 3, 5)
    assert document.key_origin(("faults", "post", "kinds")) == Origin("f.yaml", 3, 5)
    assert document.origin(("faults", "post", "kinds")) == Origin("f.yaml", 3, 12)
    assert document.origin(("faults", "post", "kinds", 1)) == Origin("f.yaml", 3, 16)
    assert document.origin(("faults", "post", "kinds", 2, "c")) == Origin("f.yaml", 3, 24)
    assert document.key_origin(("faults", "post", "kinds", 2, "c")) == Origin("f.yaml", 3, 21)


def test_a_path_that_leads_nowhere_ends_at_the_nearest_thing_around_it() -> None:
    document = read_yaml("a:\n  b: 1\n", "f.yaml")
    assert document.origin(("a", "x", "y")) == document.origin(("a",))
    assert document.key_origin(("a", "x")) == document.origin(("a",))


def test_columns_count_characters_not_bytes() -> None:
    assert read_yaml("{é: ü, b: c}", "f").key_origin(("b",)).column == 8


def test_a_repeated_key_is_told_with_both_lines_and_the_rest_is_still_read() -> None:
    document = read_yaml("a: 1\nb: 2\na: 3\nb: 4\n", "f.yaml")
    assert [str(p) for p in document.problems] == [
        "f.yaml:3:1: 'a' stands twice here, first in line 1. Keep one of them.",
        "f.yaml:4:1: 'b' stands twice here, first in line 2. Keep one of them.",
    ]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("a: &x 1", "1:4: anchors (&) and aliases (*)"),
        ("&x a: 1", "1:1: anchors"),
        ("a: &x [1]", "1:4: anchors"),
        ("a: *x", "1:4: anchors"),
        ("a: !!str 1", "1:4: tags such as"),
        ("a: ! x", "1:4: tags such as '!'"),
        ("a: !!python/object/apply:os.getcwd []", "1:4: tags such as"),
        ("!x {a: 1}", "1:1: tags such as"),
        ("b:\n  <<: {a: 1}", "2:3: merge keys"),
        ("? [a]\n: 1", "1:3: a key must be plain text"),
        ("{{a: 1}: 2}", "1:2: a key must be plain text"),
        ("a: 1\n---\nb: 1", "2:1: a second YAML document"),
        ("a: 1e999", "1:4: '1e999' is too long a number"),
        ("a: " + "9" * 5000, "is too long a number"),
        ("a: b: c", "1:5: a colon stands inside a text that has no quotes"),
        ("a:\n\tb: 1", "a tab"),
        ("a: 'open", "not closed"),
        ("a: [1, 2", "f.yaml:"),
        ("a: \x00", "1:4: this is no text file: it holds the control character U+0000"),
        ("ok: 1\nb: x\x07", "2:5: this is no text file: it holds the control character U+0007"),
        (b"a: 1\nb: \xff\xfe", "2:1: this is not a UTF-8 text file"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "1:1: this is not a UTF-8 text file"),
        ("a: \ud800", "U+D800"),
    ],
)
def test_what_is_refused_is_one_sentence_with_its_place(text: str | bytes, part: str) -> None:
    (sentence,) = told(text)
    assert part in sentence
    assert sentence.startswith("f.yaml:")
    assert "\n" not in sentence


def test_a_byte_order_mark_and_windows_line_ends_are_no_problem() -> None:
    assert data(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n") == {"a": 1, "b": 2}


def test_an_empty_text_says_nothing() -> None:
    assert data("") is None
    assert data("# only a comment\n") is None


def test_the_depth_limit_is_exact() -> None:
    assert told("[" * DEEPEST + "]" * DEEPEST) == []
    assert "levels inside each other" in told("[" * (DEEPEST + 1) + "]" * (DEEPEST + 1))[0]


def test_without_the_c_library_the_pure_reader_gives_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    text = "a: [yes, 012, 1.5, {b: true}]\nc: 'x'\nd:\n  - e: |\n      long\n      text\n"
    fast = read_yaml(text, "f")
    monkeypatch.setattr(yaml_source, "_LOADER", yaml.SafeLoader)
    assert read_yaml(text, "f") == fast
    assert "anchors" in told("a: &x 1")[0]
    assert "levels" in told("[" * 100_000)[0]


HOSTILE = {
    "anchor bomb": "a: &a [x,x]\n" + "".join(f"{c}: &{c} [*{p},*{p}]\n" for p, c in pairwise("abcdefghi")),
    "tag": "!!python/object/apply:time.sleep [60]",
    "deep lists": "[" * 1_900_000,
    "deep mappings": "{a: " * 400_000,
    "deep blocks": "".join(" " * (2 * i) + "a:\n" for i in range(1200)),
    "dashes": "- " * 900_000,
    "question marks": "? " * 900_000,
    "many values": "- a\n" * 490_000,
    "many flow values": "[" + "a," * 900_000 + "]",
    "fifty megabytes": "x" * 50_000_000,
    "binary": "\x00\x01" * 500_000,
    "open quote": "'" + "a\n\n" * 600_000,
    "long line": "a: " + "b" * 1_900_000 + ": c",
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_text_ends_in_one_sentence_within_two_seconds(name: str) -> None:
    start = time.process_time()
    (sentence,) = told(HOSTILE[name])
    assert time.process_time() - start < 2
    assert len(sentence) < 300


@pytest.mark.skipif(not Path("/proc/self/status").is_file(), reason="needs a system with /proc")
@pytest.mark.slow
def test_the_worst_text_allowed_stays_within_memory() -> None:
    script = """
        import resource
        resource.setrlimit(resource.RLIMIT_AS, (400_000_000, 400_000_000))
        from crankpath.engine.knowledge.yaml_source import read_yaml
        text = ("- {a: b}\\n" * 600_000)[:1_990_000]
        assert len(read_yaml(text, "f").problems) == 1
        assert read_yaml("- " + "x" * 1_900_000, "f").problems == ()
        # not ru_maxrss: that begins with what the process that started this one had used
        print(open("/proc/self/status").read().split("VmHWM:")[1].split()[0])
    """
    ran = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(script)],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert int(ran.stdout) < 200_000  # kilobytes


def test_a_text_one_byte_over_the_limit_is_refused_and_one_at_it_is_read() -> None:
    assert data("#" * LARGEST) is None
    assert "2 MB" in told("#" * (LARGEST + 1))[0]


@given(st.one_of(st.text(max_size=200), st.binary(max_size=200)))
def test_any_text_is_either_read_or_told_about_with_a_place_inside_it(text: str | bytes) -> None:
    document = read_yaml(text, "f")
    for problem in document.problems:
        assert problem.origin.line >= 1
        assert problem.origin.column >= 1
        assert "\n" not in str(problem)


TEXT = st.characters(exclude_categories=("Cc", "Cs", "Cn", "Zl", "Zp"))


def _plain() -> st.SearchStrategy[object]:
    text = st.text(TEXT, max_size=12)
    leaf = st.one_of(st.none(), st.booleans(), st.integers(-(10**9), 10**9), st.floats(allow_nan=False), text)
    leaf = leaf.filter(lambda value: value not in (float("inf"), float("-inf")))
    key = text.filter(lambda k: k != "<<")
    return st.recursive(
        leaf, lambda s: st.lists(s, max_size=4) | st.dictionaries(key, s, max_size=4), max_leaves=20
    )


@given(_plain())
def test_json_is_read_as_what_it_is(value: object) -> None:
    document = read_yaml(json.dumps(value, ensure_ascii=False), "f")
    assert document.problems == ()
    assert document.data == value
