"""``crankpath kb learn``: from closed cases to shares that a mechanic accepts."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from shipped_base import shipped_knowledge

from crankpath.engine import load_knowledge
from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.shell.main import cli
from crankpath.shell.store import open_store

CASE = """\
about: loader
equipment: {system_voltage: 12}
entries:
  - {reading: crank_behaviour, value: slow}
  - {reading: positive_post_drop, value: 20 mV}
  - {repaired: clean_positive_post, cured: true}
"""
AT = "2026-01-05T10:00:00Z"


@pytest.fixture
def cases(tmp_path: Path) -> Path:
    folder = tmp_path / "closed"
    folder.mkdir()
    for number in range(12):
        (folder / f"c{number}.yaml").write_text(CASE, "utf-8")
    return folder


def run(*words: object, kb: Path | None = None) -> Result:
    base = ["--kb", str(kb)] if kb else []
    return CliRunner().invoke(cli, [*base, "kb", "learn", *map(str, words)])


def share(kb_folder: Path | None, fault: str) -> float:
    return load_knowledge(*([kb_folder] if kb_folder else [])).faults[fault].shares[-1].chance


def test_nothing_is_written_unless_it_is_accepted(cases: Path, tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    output = run("--from", cases).stdout
    assert sorted(tmp_path.rglob("*")) == before
    assert output.startswith("Shares: 12 confirmed causes, against stated shares worth 200 cases.")
    assert "positive_post_joint  found  12" in output


@pytest.mark.slow
def test_what_is_written_is_a_clean_folder_that_has_the_new_shares(cases: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    assert run("--from", cases, "--write", shop / "learned_shares.yaml").exit_code == 0
    kb, problems = read_knowledge(shop)
    assert problems == ()
    assert kb is not None
    assert [str(p) for p in check_knowledge(kb)] == []
    assert share(shop, "positive_post_joint") > share(None, "positive_post_joint")
    assert share(shop, "starter_brushes") < share(None, "starter_brushes")
    given = [s.given for s in kb.faults["positive_post_joint"].shares]
    assert given == [s.given for s in shipped_knowledge().faults["positive_post_joint"].shares]


def test_learning_again_from_the_same_cases_gives_the_same_shares(cases: Path, tmp_path: Path) -> None:
    file = tmp_path / "shop" / "learned_shares.yaml"
    file.parent.mkdir()
    run("--from", cases, "--write", file)
    first = file.read_text("utf-8")
    assert run("--from", cases, "--write", file, kb=file.parent).exit_code == 0
    assert file.read_text("utf-8") == first


def test_a_file_of_the_mechanic_is_never_written_over(cases: Path, tmp_path: Path) -> None:
    file = tmp_path / "shares.yaml"
    file.write_text("faults: {}\n", "utf-8")
    done = run("--from", cases, "--write", file)
    assert "was not made by this command" in str(done.exception)
    assert file.read_text("utf-8") == "faults: {}\n"


def test_a_fault_that_stands_in_the_folder_already_is_told_and_left(cases: Path, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    mine = "faults: {positive_post_joint: {like: positive_post_joint, share: 0.2}}\n"
    (shop / "mine.yaml").write_text(mine, "utf-8")
    run("--from", cases, "--write", shop / "learned_shares.yaml", kb=shop)
    text = (shop / "learned_shares.yaml").read_text("utf-8")
    assert "# positive_post_joint stands in " in text
    assert read_knowledge(shop)[1] == ()


def test_the_rule_that_misled_and_the_chances_that_were_stated_are_told(cases: Path) -> None:
    output = run("--from", cases).stdout
    assert "* rule slight_resistance_shows_across, " in output
    assert "positive_post_joint in positive_post_drop: 12 of 12 read otherwise" in output
    assert "Stated chances: of 12 repairs named likeliest before the first repair, 0 were needed" in output


def test_cases_of_a_store_count_by_their_confirmed_causes(tmp_path: Path) -> None:
    place = tmp_path / "cases.sqlite"
    store = open_store(place)
    for name, causes in (("one", ["positive_cable"]), ("two", []), ("three", ["of_another_time"])):
        case_id = store.create_case(name, at=AT).case_id
        store.append(case_id, "equipment", {"facts": {"system_voltage": 12}}, at=AT)
        store.append(case_id, "reading", {"measurement": "crank_behaviour", "text": "slow"}, at=AT)
        store.append(case_id, "closed", {"causes": causes}, at=AT)
    store.create_case("still open", at=AT)
    store.close()
    output = run("--from", place).stdout
    assert output.startswith("Shares: 1 confirmed causes")
    assert "  two: closed with no confirmed cause" in output
    assert "  three: the knowledge base lists no of_another_time" in output


def test_a_repair_of_several_faults_does_not_say_which_it_was(tmp_path: Path) -> None:
    kb = shipped_knowledge()
    several = next(r for r in kb.repairs if sum(f.repair == r for f in kb.faults.values()) > 1)
    (tmp_path / "c.yaml").write_text(CASE.replace("clean_positive_post", several), "utf-8")
    assert "say which it was with 'expect: {first: ...}'" in run("--from", tmp_path).stdout


def test_a_place_that_is_not_there_is_refused_and_no_store_is_made(tmp_path: Path) -> None:
    done = run("--from", tmp_path / "nothing.sqlite")
    assert "there is no such folder or store" in str(done.exception)
    assert not (tmp_path / "nothing.sqlite").exists()
