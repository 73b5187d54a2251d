"""A splice block in the positive run, added by a shop in its own folder: no code, little YAML."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest
from shipped_base import shipped_knowledge

from crankpath.engine import Case, load_knowledge
from crankpath.engine.checking.checks import check_knowledge
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.records import Knowledge

SPLICE = Path(__file__).parent / "splice.yaml"


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    shutil.copy(SPLICE, folder)
    return folder


@pytest.fixture(scope="module")
def kb(shop: Path) -> Knowledge:
    return load_knowledge(shop)


def long_crank(kb: Knowledge) -> Case:
    """A slow machine whose positive run loses too much, on one side of the splice or the other."""
    case = Case(kb, equipment={"system_voltage": 12, "duty": "heavy"})
    case.record("crank_behaviour", "slow")
    case.record("battery_crank_voltage", "10.6 V")
    case.record("negative_leg_drop", "0.12 V")
    case.record("positive_leg_drop", "1.2 V")
    case.record("positive_post_drop", "0.02 V")
    return case


def test_it_takes_at_most_twenty_five_lines() -> None:
    assert len(SPLICE.read_text("utf-8").splitlines()) <= 25


@pytest.mark.slow
def test_the_folder_is_clean_under_all_checks(shop: Path) -> None:
    kb, problems = read_knowledge(shop)
    assert problems == ()
    assert kb is not None
    assert [str(problem) for problem in check_knowledge(kb)] == []


def test_its_reading_is_suggested_once_the_run_is_over_its_limit(kb: Knowledge) -> None:
    case = long_crank(kb)
    assert "positive_splice_drop" in [s.measurement for s in case.suggestions()]
    case.record("occurrence", "every_time")  # asked first: it takes no tool
    case.record("positive_cable_drop", "1.1 V")
    assert case.verdict().measurement == "positive_splice_drop"


def test_a_drop_over_its_limit_ends_in_its_repair(kb: Knowledge) -> None:
    case = long_crank(kb)
    case.record("positive_cable_drop", "1.1 V")
    case.record("positive_splice_drop", "1.0 V")
    verdict = case.verdict()
    assert (verdict.action, verdict.repair) == ("repair", "renew_splice")
    assert verdict.faults[0] == "positive_splice"


def test_a_good_splice_leaves_the_cable(kb: Knowledge) -> None:
    case = long_crank(kb)
    case.record("positive_cable_drop", "1.1 V")
    case.record("positive_splice_drop", "0.02 V")
    assert case.causes()[0].fault in ("positive_cable", "cables_undersized")
    assert case.verdict().repair != "renew_splice"


def test_the_rest_of_the_circuit_is_as_it_was(kb: Knowledge) -> None:
    shipped = shipped_knowledge()
    assert kb.measurements["positive_leg_drop"] == shipped.measurements["positive_leg_drop"]
    assert set(kb.faults) - set(shipped.faults) == {"positive_splice"}
    changed = {name for name in shipped.faults if kb.faults[name] != shipped.faults[name]}
    assert changed == {"positive_cable"}


def test_a_zip_of_the_folder_does_the_same(shop: Path, kb: Knowledge, tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "shop.zip", "w") as archive:
        archive.write(SPLICE, "our-shop/splice.yaml")
    zipped = load_knowledge(tmp_path / "shop.zip")
    assert zipped.measurements == kb.measurements
    assert zipped.faults == kb.faults


def test_what_is_inherited_stands_where_like_stands(kb: Knowledge) -> None:
    drop = kb.measurements["positive_splice_drop"]
    assert drop.healthy[0].origin.line == drop.origin.line + 1
    assert drop.origin.file == "splice.yaml"
    assert drop.limits[0].origin.file == "limits.yaml"  # those of a template stand there


def test_names_and_what_speaks_of_the_old_place_are_not_inherited(kb: Knowledge) -> None:
    drop = kb.measurements["positive_splice_drop"]
    assert drop.aliases == ()
    assert drop.leads == ""
    assert drop.spans == (("splice_in", "splice_out"),)
    assert kb.faults["positive_splice"].about == ""
