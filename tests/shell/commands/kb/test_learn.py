"""``crankpath kb learn``: from closed cases to shares and readings that a mechanic accepts."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.engine import load_knowledge
from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.records import Range
from crankpath.shell.main import cli
from crankpath.shell.store import open_store

SMALL = Path(__file__).parents[3] / "data" / "small"
CASE = """\
about: loader
entries:
  - {{reading: crank_behaviour, value: slow}}
  - {{reading: positive_leg_drop, value: {volts} V}}
  - {{repaired: replace_hot_cable, cured: true}}
"""
AT = "2026-01-05T10:00:00Z"


@pytest.fixture
def cases(tmp_path: Path) -> Path:
    """Twelve positive cables that lose about 4 V, more than the rule expects."""
    folder = tmp_path / "closed"
    folder.mkdir()
    for number in range(12):
        (folder / f"c{number:02}.yaml").write_text(CASE.format(volts=3.5 + number / 12), "utf-8")
    return folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    folder.mkdir()
    return folder


def run(*words: object, kb: Path | None = None, typed: str = "", base: Path | None = SMALL) -> Result:
    options = [*(["--kb", str(kb)] if kb else []), *(["--alone", str(base)] if base else [])]
    return CliRunner().invoke(cli, [*options, "kb", "learn", *map(str, words)], input=typed)


def between(*folders: Path) -> tuple[float, float]:
    """The range of the rule about drops across a bad positive cable."""
    rules = load_knowledge(SMALL, *folders, shipped=False).rules
    reads = rules.get("shows_across_of_hot_cable", rules["shows_across"]).reads
    assert isinstance(reads, Range)
    assert reads.between is not None
    low, high = reads.between
    assert isinstance(low, float)
    assert isinstance(high, float)
    return low, high


def share(*folders: Path, fault: str = "hot_cable") -> float:
    return load_knowledge(SMALL, *folders, shipped=False).faults[fault].shares[-1].chance


def test_nothing_is_written_unless_it_is_accepted(cases: Path, tmp_path: Path) -> None:
    before = sorted(tmp_path.rglob("*"))
    output = run("--from", cases).stdout
    assert sorted(tmp_path.rglob("*")) == before
    assert output.startswith("Shares: 12 confirmed causes, against stated shares worth 200 cases.")
    assert "hot_cable  found    12" in output
    assert "* shows_across of hot_cable: {between: [0.4, 3]} -> {between: [" in output


def test_what_is_accepted_is_a_clean_folder_that_says_what_was_read(cases: Path, shop: Path) -> None:
    done = run("--from", cases, "--write", shop / "learned.yaml", "--yes")
    assert done.exit_code == 0
    assert "The check and the cases hold." in done.stdout
    kb, problems = read_knowledge(SMALL, shop, shipped=False)
    assert problems == ()
    assert kb is not None
    known = {(p.check, p.entry) for p in check_knowledge(load_knowledge(SMALL, shipped=False))}
    assert {(p.check, p.entry) for p in check_knowledge(kb)} <= known
    assert between() == (0.4, 3.0)
    assert between(shop)[0] > 0.4
    assert between(shop)[1] > 4.0
    assert share(shop, fault="ground") < share(fault="ground")
    text = (shop / "learned.yaml").read_text("utf-8")
    assert "# was {between: [0.4, 3]}, " in text
    assert "read in c00.yaml: positive_leg_drop 3.5 V, c01.yaml: positive_leg_drop 3.58 V" in text


def test_learning_again_from_the_same_cases_changes_nothing(cases: Path, shop: Path) -> None:
    file = shop / "learned.yaml"
    run("--from", cases, "--write", file, "--yes")
    first = file.read_bytes()
    again = run("--from", cases, "--write", file, "--yes", kb=shop)
    assert again.exit_code == 0
    assert "Nothing changes; nothing is written." in again.stdout
    assert file.read_bytes() == first


def test_each_proposal_is_asked_about_and_shows_its_cases(cases: Path, shop: Path) -> None:
    done = run("--from", cases, "--write", shop / "learned.yaml", typed="n\nc\ny\nq\n")
    assert done.exit_code == 0
    assert "  c00.yaml: positive_leg_drop 3.5 V" in done.stdout
    assert between(shop) > between()
    assert share(shop, fault="ground") == share(fault="ground")


def test_at_the_end_of_the_input_the_rest_is_left(cases: Path, shop: Path) -> None:
    done = run("--from", cases, "--write", shop / "learned.yaml", typed="")
    assert "Nothing is accepted; nothing is written." in done.stdout
    assert list(shop.iterdir()) == []


def test_taking_back_restores_the_file_byte_by_byte(cases: Path, shop: Path) -> None:
    file = shop / "learned.yaml"
    run("--from", cases, "--write", file, typed="n\ny\nq\n")
    first = file.read_bytes()
    run("--from", cases, "--write", file, "--yes")
    assert file.read_bytes() != first
    assert run("--take-back", file).exit_code == 0
    assert file.read_bytes() == first
    run("--take-back", file)
    assert list(shop.iterdir()) == []
    done = run("--take-back", file)
    assert "nothing was accepted into it that can be taken back" in str(done.exception)


def test_what_would_fail_a_case_of_the_shop_is_left_out_and_told(cases: Path, shop: Path) -> None:
    (shop / "cases").mkdir()
    (shop / "mine.yaml").write_text("references: {us: {title: us, standing: common_practice}}\n", "utf-8")
    (shop / "cases" / "low_reading.yaml").write_text(
        "about: a third of a volt is a bad cable\n"
        "readings: {crank_behaviour: slow, positive_leg_drop: 0.35 V}\n"
        "expect: {chance: {hot_cable: {least: 0.91}}}\n", "utf-8",
    )  # fmt: skip
    assert run_test(shop) == 0
    done = run("--from", cases, "--write", shop / "learned.yaml", "--yes")
    assert "shows_across_of_hot_cable is not accepted, because of what it would do:" in done.stdout
    assert "kb test: cases/low_reading.yaml no longer comes out as required" in done.stdout
    assert between(shop) == between()
    assert share(shop, fault="ground") < share(fault="ground")
    assert run_test(shop) == 0


def run_test(shop: Path) -> int:
    return CliRunner().invoke(cli, ["--alone", str(SMALL), "kb", "test", str(shop)]).exit_code


def test_a_file_of_the_mechanic_is_never_written_over(cases: Path, shop: Path) -> None:
    file = shop / "shares.yaml"
    file.write_text("faults: {}\n", "utf-8")
    done = run("--from", cases, "--write", file, "--yes")
    assert "was not made by this command" in str(done.exception)
    assert file.read_text("utf-8") == "faults: {}\n"


def test_what_stands_in_the_folder_already_is_told_and_left(cases: Path, shop: Path) -> None:
    (shop / "mine.yaml").write_text("faults: {hot_cable: {like: hot_cable, share: 0.2}}\n", "utf-8")
    done = run("--from", cases, "--write", shop / "learned.yaml", "--yes", kb=shop)
    assert "hot_cable stands in " in done.stdout
    assert read_knowledge(SMALL, shop, shipped=False)[1] == ()
    assert share(shop) == 0.2


def test_proposals_to_be_read_accept_nothing(cases: Path, shop: Path, tmp_path: Path) -> None:
    assert run("--from", cases, "--out", tmp_path / "proposals.yaml").exit_code == 0
    shutil.copy(tmp_path / "proposals.yaml", shop)
    assert between(shop) > between()


def test_the_rule_that_misled_and_the_chances_that_were_stated_are_told(cases: Path) -> None:
    output = run("--from", cases).stdout
    assert "* rule shows_across, " in output
    assert "hot_cable in positive_leg_drop: 12 of 12 read otherwise" in output
    assert "Stated chances: of 12 repairs named likeliest before the first repair, 12 were needed" in output


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
    output = run("--from", place, base=None).stdout
    assert output.startswith("Shares: 1 confirmed causes")
    assert "  two: closed with no confirmed cause" in output
    assert "  three: the knowledge base lists no of_another_time" in output


def test_a_repair_of_several_faults_counts_for_each_by_what_was_read(tmp_path: Path) -> None:
    kb = load_knowledge()
    several = next(r for r in kb.repairs if sum(f.repair == r for f in kb.faults.values()) > 1)
    text = f"entries: [{{reading: crank_behaviour, value: slow}}, {{repaired: {several}, cured: true}}]\n"
    (tmp_path / "c.yaml").write_text(text, "utf-8")
    assert run("--from", tmp_path, base=None).stdout.startswith("Shares: 1 confirmed causes")


def test_a_place_that_is_not_there_is_refused_and_no_store_is_made(tmp_path: Path) -> None:
    done = run("--from", tmp_path / "nothing.sqlite")
    assert "there is no such folder or store" in str(done.exception)
    assert not (tmp_path / "nothing.sqlite").exists()
