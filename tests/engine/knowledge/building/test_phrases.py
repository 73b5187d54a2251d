"""Tables of phrases: a shop adds its words, and a key that stands for nothing is told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.shell.reader.reader import read_text

SLANG = """\
words:
  our_slang:
    language: en
    names: {starter_stud_drop: [fat bolt]}
    sayings: {crank_behaviour.silent: [graveyard]}
"""


def laid_over(folder: Path, text: str) -> tuple[object, list[str]]:
    (folder / "ours.yaml").write_text(text, "utf-8")
    knowledge, problems = read_knowledge(folder)
    return knowledge, [str(problem).replace(f"{folder}/", "") for problem in problems]


def test_a_shop_adds_its_own_words(tmp_path: Path) -> None:
    (tmp_path / "ours.yaml").write_text(SLANG, "utf-8")
    knowledge, problems = read_knowledge(tmp_path)
    assert knowledge is not None, problems
    assert [p.measurement for p in read_text("fat bolt 40 mV", knowledge).taken] == ["starter_stud_drop"]
    (said,) = read_text("it's the graveyard", knowledge, asked="crank_behaviour").taken
    assert said.understood.value == "silent"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ("names: {starter_stud_dorp: [x]}", "Did you mean starter_stud_drop"),
        ("sayings: {crank_behaviour.silnt: [x]}", "Did you mean silent?"),
        ("values: {lose: [x]}", "Did you mean loose"),
        ("phrases: {hedges: [x]}", "Did you mean hedge?"),
        ("numbers: {twelve: [dozen]}", "Write the number in digits"),
        ("states: {craning: [x]}", "Did you mean cranking?"),
    ],
)
def test_a_key_that_stands_for_nothing_is_told_where_it_stands(tmp_path: Path, wrong: str, told: str) -> None:
    _, problems = laid_over(tmp_path, f"words:\n  ours:\n    language: en\n    {wrong}\n")
    assert len(problems) == 1
    assert problems[0].startswith("ours.yaml:4:")
    assert told in problems[0]
