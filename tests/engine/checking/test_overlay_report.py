"""What a shop's folder replaces or leaves behind is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from crankpath.engine.checking.overlay_report import told_of_layers
from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge

CLEAN = Path(__file__).parent / "clean.yaml"


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("base")
    (folder / "clean.yaml").write_bytes(CLEAN.read_bytes())
    (folder / "cases").mkdir()
    for name in ("a", "b"):
        (folder / "cases" / f"{name}.yaml").write_text("expect: {first: null}\n", "utf-8")
    return folder


def over(base: Path, folder: Path, text: str) -> tuple[Knowledge, list[str]]:
    (folder / "shop.yaml").write_text(text, "utf-8")
    kb = load_knowledge(base, folder, shipped=False)
    return kb, list(told_of_layers(load_knowledge(base, shipped=False), kb, folder))


def test_what_is_replaced_is_told_with_what_it_loses(base: Path, tmp_path: Path) -> None:
    below = load_knowledge(base, shipped=False)
    first = next(iter(below.cautions))
    _, told = over(base, tmp_path, f"cautions: {{{first}: {{text: Ours., short: Ours.}}}}\n")
    assert told == [f"cautions/{first} takes the place of the entry below: other text, short; lost: source."]


def test_a_list_that_is_taken_over_can_be_added_to_and_taken_from(base: Path, tmp_path: Path) -> None:
    text = "measurements: {joint_drop: {like: joint_drop, kinds: {add: [bolted], drop: [loaded_drop]}}}\n"
    kb, _ = over(base, tmp_path, text)
    assert kb.measurements["joint_drop"].kinds == ("bolted",)
    with pytest.raises(KnowledgeError, match=r"shop.yaml:1:77: joint_drop kinds: 'loded_drop' is not in"):
        over(base, tmp_path, text.replace("[loaded_drop]", "[loded_drop]"))


def test_rules_that_name_the_model_alone_are_told(base: Path, tmp_path: Path) -> None:
    below = load_knowledge(base, shipped=False)
    rule = next(rule for rule in below.rules.values() if rule.faults.ids)
    model = rule.faults.ids[0]
    entry = f"faults: {{ours: {{like: {model}, label: ours}}}}\n"
    _, told = over(base, tmp_path, entry)
    (said,) = [line for line in told if line.startswith("faults/ours is like")]
    assert f"rules name {model} alone" in said
    assert rule.id in said
    carried = "".join(
        f"  {r.id}: {{like: {r.id}, faults: {{add: [ours]}}}}\n"
        for r in below.rules.values() if model in r.faults.ids
    )  # fmt: skip
    kb, told = over(base, tmp_path, f"{entry}rules:\n{carried}")
    assert "ours" in kb.rules[rule.id].faults.ids
    assert not [line for line in told if line.startswith("faults/ours is like")]


def test_a_shipped_silence_is_retired_by_its_check(tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_text("retire: {silence: [unused]}\n", "utf-8")
    checks = {silence.id for silence in load_knowledge(shipped_folder(), tmp_path, shipped=False).silence}
    assert "unused" not in checks
    assert checks
