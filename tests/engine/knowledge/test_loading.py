"""Folders of YAML become one knowledge base, or every slip is told at once."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from crankpath.engine.errors import KnowledgeError
from crankpath.engine.knowledge.condition import Compares, Facts, Is
from crankpath.engine.knowledge.folders import shipped_folder
from crankpath.engine.knowledge.formula import Formula
from crankpath.engine.knowledge.loading import load_knowledge, read_knowledge
from crankpath.engine.knowledge.records import Knowledge, MeterError, Origin, Range, Selector

TINY = Path(__file__).parents[1] / "data" / "tiny"


@pytest.fixture(scope="module")
def tiny() -> Knowledge:
    return load_knowledge(TINY, shipped=False)


def laid_over(folder: Path, text: str) -> tuple[Knowledge | None, list[str]]:
    """The tiny base with one file laid over it, and what is told about it, without the folder's path."""
    folder.mkdir(exist_ok=True)
    (folder / "shop.yaml").write_text(text, "utf-8")
    knowledge, problems = read_knowledge(TINY, folder, shipped=False)
    return knowledge, [str(problem).replace(f"{folder}/", "") for problem in problems]


def edited(tmp_path: Path, old: str, new: str) -> list[str]:
    """What is told about the tiny base with one text replaced."""
    text = (TINY / "base.yaml").read_text("utf-8")
    assert old in text
    (tmp_path / "base.yaml").write_text(text.replace(old, new, 1), "utf-8")
    _, problems = read_knowledge(tmp_path, shipped=False)
    return [str(problem).replace(f"{tmp_path}/", "") for problem in problems]


def test_fields_come_out_as_they_are_written(tiny: Knowledge) -> None:
    leg = tiny.measurements["positive_leg_drop"]
    assert (leg.short, leg.unit, leg.combination, leg.minutes) == ("pos leg", "V", "adds", 2.0)
    assert leg.scale == Formula.parse("system_voltage / 12")
    assert [whole.reads for whole in leg.whole] == [Range((10.0, 12.6))]
    assert leg.aliases == ("positive leg", "pos drop")
    assert leg.between == ("battery_positive_post", "starter_battery_stud")
    assert leg.spans == (leg.between,)
    assert (leg.least, leg.most) == (0.0, Formula.parse("1.3 * system_voltage"))
    assert leg.error == MeterError(0.05, 0.01)
    assert leg.tools == ("multimeter",)
    assert tiny.complaints == {"just clicks": ("crank_behaviour", "single_click")}
    assert tiny.settings["proven_at"] == 0.9
    assert tiny.settings.origins["proven_at"].line == 4
    assert tiny.equipment["start_relay"].values == (True, False)
    assert tiny.setups["cannot_start"].ways[0].only == Is("system_voltage", (12,))
    assert tiny.repairs["clean_positive_post"].parts_cost == 2.0
    assert tiny.balances["leg"].sort == "not_above"


def test_limits_keep_their_order_and_conditions(tiny: Knowledge) -> None:
    first, last = tiny.measurements["positive_leg_drop"].limits
    assert first.given == Is("system_voltage", (24,))
    assert first.at == (0.04, 0.5, 1.0)
    assert last.given is None
    assert last.at == (0.04, 0.25, Formula.parse("system_voltage / 24"))


def test_healthy_readings_are_ranges_of_a_meter_and_chances_of_an_observation(tiny: Knowledge) -> None:
    cold, warm = tiny.measurements["positive_leg_drop"].healthy
    assert cold.given == Compares("air_temperature", "below", 0.0)
    assert (cold.reads, warm.reads) == (Range((0.1, 0.4)), Range((0.05, 0.25)))
    (only,) = tiny.measurements["crank_behaviour"].healthy
    assert only.reads == pytest.approx((0.95, 0.05 / 3, 0.05 / 3, 0.05 / 3))


def test_rules_keep_what_is_read_as_written_and_select_by_kind_or_id(tiny: Knowledge) -> None:
    across = tiny.rules["resistance_shows_across"]
    assert across.reads == Range((0.5, 3.0), whole=0.3)
    assert across.faults == Selector((), ("main_resistance",))
    assert across.where == "across"
    clicks = tiny.rules["open_clicks"]
    assert clicks.measurements == Selector(("crank_behaviour",), ())
    assert (clicks.where, clicks.masks, clicks.degrees) == ("any", 1, ("open",))


def test_faults_have_shares_and_degrees(tiny: Knowledge) -> None:
    post, cable = tiny.faults["positive_post_joint"], tiny.faults["positive_cable"]
    assert [share.chance for share in post.shares] == [0.1, 0.2]
    assert post.degrees == {"slight": 0.7, "open": 0.3}
    assert post.away == 0.8
    assert cable.degrees == {"present": 1.0}
    assert cable.shares[0].given is None


def test_fact_rules_derive_words_truths_and_formulas(tiny: Knowledge) -> None:
    rule = tiny.facts["no_current_when_silent"]
    assert rule.when.holds(Facts(bands={"crank_behaviour": "silent"})) is True
    assert rule.then == {
        "main_current": "absent",
        "some_ratio": Formula.parse("positive_leg_drop / 2"),
        "sure": True,
    }
    assert rule.pointless == Selector((), ("loaded_drop",))


def test_every_entry_remembers_where_it_is_written(tiny: Knowledge) -> None:
    lines = (TINY / "base.yaml").read_text("utf-8").splitlines()
    for section in (tiny.points, tiny.measurements, tiny.faults, tiny.rules, tiny.facts, tiny.repairs):
        for id_, record in section.items():
            assert record.origin.file == "base.yaml"
            assert lines[record.origin.line - 1][record.origin.column - 1 :].startswith(f"{id_}:")


def test_an_entry_laid_over_replaces_the_whole_entry(tiny: Knowledge, tmp_path: Path) -> None:
    over, told = laid_over(tmp_path, "repairs:\n  clean_positive_post: {label: clean it, minutes: 7}\n")
    assert told == []
    assert over is not None
    assert over.repairs["clean_positive_post"].label == "clean it"
    assert over.repairs["clean_positive_post"].steps == ()
    assert over.repairs["replace_positive_cable"] == tiny.repairs["replace_positive_cable"]
    assert over.layers["repairs/clean_positive_post"] == str(tmp_path)
    assert over.layers["repairs/replace_positive_cable"] == str(TINY)
    assert over.folders == (str(TINY), str(tmp_path))
    assert over.version != tiny.version


def test_a_replaced_entry_keeps_its_place_in_the_order(tmp_path: Path, tiny: Knowledge) -> None:
    over, _ = laid_over(tmp_path, "repairs:\n  clean_positive_post: {label: clean it, minutes: 7}\n")
    assert over is not None
    assert list(over.repairs) == list(tiny.repairs)


def test_what_is_retired_is_gone_and_what_still_refers_to_it_is_told(tmp_path: Path) -> None:
    over, told = laid_over(tmp_path, "retire: {rules: [open_clicks]}\n")
    assert over is not None
    assert list(over.rules) == ["resistance_shows_across"]
    _, told = laid_over(tmp_path, "retire: {repairs: [clean_positive_post]}\n")
    message = (
        "cannot retire 'clean_positive_post': fault positive_post_joint repair (base.yaml:88:13) "
        "still names"
    )
    assert len(told) == 1
    assert f"shop.yaml:1:20: {message}" in told[0]


def test_a_base_of_its_own_borrows_entries_of_the_shipped_one(tmp_path: Path) -> None:
    text = "borrow: {cautions: [acid], references: [tm_262, cfr_1926_441], tools: all}\n"
    own = "cautions:\n  acid_here: {like: acid, short: rinse, only: {system_voltage: 24}}\n"
    over, told = laid_over(tmp_path, text + own)
    assert over is not None, told
    assert over.cautions["acid"].text == over.cautions["acid_here"].text
    assert over.layers["cautions/acid"] == str(shipped_folder())
    assert list(load_knowledge().tools)[-1] in over.tools
    assert over.version != laid_over(tmp_path, "cautions: {}\n")[0].version  # type: ignore[union-attr]


def test_borrowing_what_is_not_there_is_told_with_a_near_spelling(tmp_path: Path) -> None:
    _, told = laid_over(tmp_path, "borrow: {cautions: [acids], tool: all, references: tm_262}\n")
    assert told[0].startswith("shop.yaml:1:21: cannot borrow 'acids': the shipped base has no such entry")
    assert told[0].endswith("Did you mean acid?")
    assert told[1].startswith("shop.yaml:1:29: cannot borrow: 'tool' is no section. Did you mean tools?")
    assert "cannot borrow: 'references' needs a list of ids" in told[2]


def test_retiring_what_is_not_there_is_told_with_a_near_spelling(tmp_path: Path) -> None:
    _, told = laid_over(tmp_path, "retire: {rules: [open_click], rule: [x]}\n")
    first, second = told
    assert first.startswith("shop.yaml:1:18: cannot retire 'open_click': no folder below has it")
    assert first.endswith("Did you mean open_clicks?")
    assert second == "shop.yaml:1:31: cannot retire: 'rule' is no section. Did you mean rules?"


def test_an_id_twice_in_one_folder_is_told_with_both_places(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("tools:\n  lamp: {label: lamp}\n", "utf-8")
    (tmp_path / "b.yaml").write_text("tools:\n  lamp: {label: other lamp}\n", "utf-8")
    _, problems = read_knowledge(TINY, tmp_path, shipped=False)
    assert [str(p) for p in problems] == [
        f"{tmp_path}/b.yaml:2:3: tools: 'lamp' is already in a.yaml:2:3. Keep one, or rename it."
    ]


EDITS = [
    (
        "repair: clean_positive_post",
        "repair: clean_positiv_post",
        "88:13",
        "Did you mean clean_positive_post?",
    ),
    ("places: [positive_cable]", "places: [positive_cabel]", "95:14", "Did you mean positive_cable?"),
    ("crank_behaviour: silent}", "crank_behavior: silent}", "121:12", "Did you mean crank_behaviour?"),
    ("crank_behaviour: silent}", "crank_behaviour: silnt}", "121:29", "Did you mean silent?"),
    ("only: {system_voltage: 12}", "only: {system_voltage: 13}", "39:108", "no value of system_voltage"),
    ("positive_leg_drop / 2", "positive_leg_dorp / 2", "122:56", "Did you mean positive_leg_drop?"),
    ("positive_leg_drop / 2", "exec(1) / 2", "122:56", "'exec' is no function here"),
    ("at: [0.04, 0.5, 1]", "at: [0.04, 0.5]", "66:43", "has 2 limits; 4 bands have 3 between them"),
    ("at: [0.04, 0.5, 1]", "at: [0.04, 0.5, 0.4]", "66:43", "the limits must rise"),
    ("whole: sometimes}", "whole: sometime}", "108:39", "Did you mean sometimes?"),
    ("{between: [0.5, 3],", "{between: [0.5],", "108:22", "Expected a list of 2"),
    ("{between: [0.5, 3], whole", "{whole", "108:12", "does not say what is read"),
    ("{silent: almost_always}", "{sillent: almost_always}", "115:12", "Did you mean silent?"),
    ("degrees: [open]", "degrees: [opened]", "113:15", "Did you mean open?"),
    ("{kinds: [main_resistance]}", "{kinds: [main_resistence]}", "105:22", "Did you mean main_resistance?"),
    ("degrees: {slight: 0.7,", "degrees: {slight: 0.5,", "86:14", "degrees: they add up to 0.8"),
    (
        "value: single_click}",
        "value: double_click}",
        "15:56",
        "Known here: normal, slow, single_click, silent.",
    ),
    ("{chance: 0.2, source", "{given: {start_relay: true}, chance: 0.2, source", "85:57", "must hold always"),
    ("{at: [0.04, 0.25,", "{given: {start_relay: true}, at: [0.04, 0.25,", "67:9", "must hold always"),
    ("seldom: 0.05", "seldom: 1", "1:66", "Expected a number above 0 and below 1."),
    ("masks: 1", "maks: 1", "116:5", "Did you mean masks?"),
    ("source: [shop], because", "source: [shpo], because", "67:71", "Did you mean shop?"),
    ("share: 0.04", "share: 0.0", "96:12", "0 is no share"),
    ("default: 12,", "default: 13,", "10:94", "'13' is not among the values"),
]


@pytest.mark.parametrize(("old", "new", "place", "part"), EDITS)
def test_a_slip_is_told_with_its_place_and_what_to_do(
    tmp_path: Path, old: str, new: str, place: str, part: str
) -> None:
    told = edited(tmp_path, old, new)
    assert len(told) == 1, told
    assert part in told[0]
    assert told[0].startswith(f"base.yaml:{place}: ")


def test_all_slips_are_told_at_once_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = (TINY / "base.yaml").read_text("utf-8")
    for old, new in (
        ("minutes: 40", "minutes: forty"),
        ("unit: degC", "unit: 5"),
        ("where: across", "where: over"),
    ):
        text = text.replace(old, new)
    (tmp_path / "base.yaml").write_text(text, "utf-8")
    with pytest.raises(KnowledgeError) as caught:
        load_knowledge(tmp_path, shipped=False)
    lines = str(caught.value).splitlines()
    assert len(lines) == 3
    assert ["unit" in lines[0], "minutes" in lines[1], "where" in lines[2]] == [True] * 3


MANY = (
    "{x: {reads: 5, given: [1], faults: {a: b}, measurements: {kinds: 3}, share: {}, degrees: [], "
    "limits: [5], healthy: [5], covers: [5], at: 7, ways: [3], then: [1], error: 3, between: 4, "
    "values: 3, retire: 3}}"
)
JUNK = ["5", "[a]", "{x: 5}", "{x: [1, {a: b}]}", "{x: {label: [1]}}", "{x: }", MANY]


@pytest.mark.parametrize(
    "section", ["measurements", "faults", "rules", "facts", "setups", "segments", "equipment"]
)
@pytest.mark.parametrize("junk", JUNK)
def test_junk_in_a_section_is_told_and_never_crashes(
    tmp_path: Path, section: str, junk: str
) -> None:
    (tmp_path / "junk.yaml").write_text(f"{section}: {junk}\n", "utf-8")
    knowledge, problems = read_knowledge(TINY, tmp_path, shipped=False)
    assert knowledge is None
    assert any(problem.folder == str(tmp_path) for problem in problems)


def test_a_folder_that_is_none_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(KnowledgeError, match="does not exist"):
        load_knowledge(tmp_path / "nowhere", shipped=False)
    (tmp_path / "file").write_text("x", "utf-8")
    with pytest.raises(KnowledgeError, match="is a file, not a folder"):
        load_knowledge(tmp_path / "file", shipped=False)
    (tmp_path / "empty").mkdir()
    with pytest.raises(KnowledgeError, match=r"holds no \.yaml file"):
        load_knowledge(tmp_path / "empty", shipped=False)


def test_a_folder_that_is_no_whole_base_cannot_stand_alone(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("tools: {lamp: {label: lamp}}\n", "utf-8")
    with pytest.raises(KnowledgeError, match="has no equipment, measurements, faults, repairs"):
        load_knowledge(tmp_path, shipped=False)


def test_what_is_no_file_and_what_is_too_large_is_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    with (tmp_path / "large.yaml").open("wb") as stream:
        stream.truncate(50_000_000)
    (tmp_path / "loop").symlink_to(tmp_path)
    _, problems = read_knowledge(TINY, tmp_path, shipped=False)
    assert [p.message for p in problems] == [
        "the file has 50.0 MB; more than 2 MB is not read",
        "this is not a regular file",
    ]


def test_cases_machines_schema_and_hidden_files_are_no_knowledge(tmp_path: Path, tiny: Knowledge) -> None:
    (tmp_path / "base.yaml").write_bytes((TINY / "base.yaml").read_bytes())
    for name in ("cases/a.yaml", "machines/a.yaml", "schema/a.yaml", ".git/a.yaml", "__pycache__/a.yaml"):
        (tmp_path / name).parent.mkdir()
        (tmp_path / name).write_text("nonsense: 1\n", "utf-8")
    (tmp_path / ".swap.yaml").write_text("nonsense: 1\n", "utf-8")
    (tmp_path / "deeper" / "cases").mkdir(parents=True)
    (tmp_path / "deeper" / "cases" / "more.yml").write_text("tools: {lamp: {label: lamp}}\n", "utf-8")
    knowledge = load_knowledge(tmp_path, shipped=False)
    assert "lamp" in knowledge.tools


def test_the_version_depends_on_names_and_contents_only(tmp_path: Path, tiny: Knowledge) -> None:
    (tmp_path / "base.yaml").write_bytes((TINY / "base.yaml").read_bytes())
    same = load_knowledge(tmp_path, shipped=False)
    assert same.version == tiny.version
    assert len(same.version) == 12
    with (tmp_path / "base.yaml").open("a") as stream:
        stream.write("# a remark\n")
    assert load_knowledge(tmp_path, shipped=False).version != tiny.version


def test_a_file_made_to_annoy_is_given_up_after_three_hundred_slips(tmp_path: Path) -> None:
    faults = "".join(f"  f{i}: {{label: a, group: b, share: 0.1, repair: r{i}}}\n" for i in range(700))
    _, told = laid_over(tmp_path, f"faults:\n{faults}")
    assert len(told) == 300
    with pytest.raises(KnowledgeError, match=r"\.\.\. and 200 more"):
        load_knowledge(TINY, tmp_path, shipped=False)


def test_places_are_those_of_the_folder_they_stand_in(tmp_path: Path) -> None:
    over, _ = laid_over(tmp_path, "tools:\n  lamp: {label: lamp}\n")
    assert over is not None
    assert over.tools["lamp"].origin == Origin("shop.yaml", 2, 3)


def test_the_shipped_folder_is_the_package_of_that_name() -> None:
    assert (shipped_folder() / "schema" / "knowledge.schema.json").is_file()
