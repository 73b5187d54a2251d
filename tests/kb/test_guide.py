"""The guide: followed literally in an empty folder, and naming everything there is."""

from __future__ import annotations

import re
import shlex
from math import ceil, log
from pathlib import Path

import pytest
from click.testing import CliRunner
from field_tables import TABLE, table, with_tables

from crankpath.engine.cases.casefile import load_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.checking.checks import CHECKS
from crankpath.engine.errors import CrankpathError
from crankpath.engine.inference.entries import Tries
from crankpath.engine.inference.failure_rate import crank_proof
from crankpath.engine.knowledge.building.fields import sections_of
from crankpath.engine.knowledge.entry_data import stated
from crankpath.engine.knowledge.folders import read_schema, shipped_folder
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell import settings
from crankpath.shell.commands.kb.group import KB_COMMANDS
from crankpath.shell.main import cli

GUIDE = (shipped_folder() / "README.md").read_text("utf-8")
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
SCHEMA = read_schema("knowledge")


def good_cranks(rate: float, level: float) -> int:
    """Good cranks in a row that have at most the chance level where it fails at this part of the tries."""
    return ceil(log(level) / log(1.0 - rate))


def test_the_guide_names_every_check() -> None:
    assert [check.id for check in CHECKS if f"`{check.id}`" not in GUIDE] == []


def test_the_table_of_good_cranks_is_the_run_length_of_failure_free_trials() -> None:
    # n = ln(1 - C) / ln(1 - p), failure-free trials as published; the figures of 95 % also stay below the
    # rule of three, n = 3 / p (Jovanovic and Levy, The American Statistician 51, 1997, 137).
    published = {
        2: (4, 5, 7), 3: (6, 8, 12), 5: (11, 14, 21), 10: (22, 29, 44), 20: (45, 59, 90),
        50: (114, 149, 228), 100: (230, 299, 459),
    }  # fmt: skip
    rows = re.findall(r"^\| 1 try in (\d+) \| (\d+) \| (\d+) \| (\d+) \|$", GUIDE, re.MULTILINE)
    assert {int(d): tuple(map(int, needed)) for d, *needed in rows} == published
    for d, needed in published.items():
        assert tuple(good_cranks(1 / d, level) for level in (0.10, 0.05, 0.01)) == needed
        assert needed[1] <= 3 * d


def test_the_tool_asks_for_more_good_cranks_than_the_table(kb: Knowledge) -> None:
    prior = kb.settings["failure_rate_prior_a"], kb.settings["failure_rate_prior_b"]
    for failures, of in ((3, 10), (1, 5), (6, 12), (2, 40)):
        proof = crank_proof((Tries(failures, of),), *prior, kb.settings["proof_level"])
        assert proof.cranks >= good_cranks(failures / of, kb.settings["proof_level"])


def test_the_guide_shows_every_command_of_the_group() -> None:
    assert [name for name in KB_COMMANDS if f"kb {name}" not in GUIDE] == []


def test_the_splice_of_the_guide_is_the_one_that_is_tested() -> None:
    shown = re.search(r"<!-- splice:start -->\n```yaml\n(.*?)```\n<!-- splice:end -->", GUIDE, re.DOTALL)
    assert shown is not None
    assert shown[1] == (Path(__file__).parent / "splice.yaml").read_text("utf-8")


def under(title: str) -> str:
    found = re.search(rf"^### {title}\n(.*?)(?=^##|\Z)", GUIDE, re.DOTALL | re.MULTILINE)
    assert found is not None, f"the guide has no section '{title}'"
    return found[1]


def test_the_tables_of_fields_are_those_made_from_the_records() -> None:
    """If not: `python tests/kb/field_tables.py`."""
    assert with_tables(GUIDE) == GUIDE
    sections = {name for name, part in sections_of(Knowledge).items() if table(part)}
    assert {found[2] for found in TABLE.finditer(GUIDE)} == sections


def test_the_table_of_conditions_has_every_word_of_them() -> None:
    words = {"any", "none", "above", "below", "at_least", "at_most", "formula"}
    assert {word for word in words if not re.search(rf"[`{{]{word}\b", GUIDE)} == set()


def test_the_sections_explained_are_those_of_the_schema() -> None:
    explained = set(re.findall(r"^### ([a-z_]+)$", GUIDE, re.MULTILINE))
    assert explained == set(SCHEMA["properties"])


def test_every_field_of_a_case_file_is_named() -> None:
    schema = read_schema("case")
    entries = schema["$defs"]["entry"]["oneOf"]
    fields = {*schema["properties"], *(field for entry in entries for field in entry["properties"])}
    said = under("Cases")
    assert {field for field in fields if not re.search(rf"\b{field}\b", said)} == set()


def run(line: str) -> str:
    """The output of one line of the guide, run without a shell."""
    words = shlex.split(line, comments=True)
    if words[0] == "mkdir":
        Path(words[-1]).mkdir(parents=True, exist_ok=True)
        return ""
    assert words[0] == "crankpath", line
    done = CliRunner().invoke(cli, words[1:])
    assert done.exception is None or isinstance(done.exception, SystemExit | CrankpathError), done.exception
    return done.stdout + (str(done.exception) if isinstance(done.exception, CrankpathError) else "")


def shows(expected: str, output: str) -> bool:
    """True if the output is what the guide shows, `...` standing for anything."""
    pattern = ".*".join(map(re.escape, expected.strip().split("...")))
    return re.fullmatch(pattern, output.strip(), re.DOTALL) is not None


def follow(steps: str) -> int:
    """Do what the guide says, in this folder, by its text alone; return how many blocks were run."""
    output, ran = "", 0
    for sort, text in BLOCK.findall(steps):
        if sort == "yaml":
            Path(text.split("\n", 1)[0].removeprefix("# ")).write_text(text, "utf-8")
        elif sort == "sh":
            output, ran = "".join(run(line) for line in text.splitlines()), ran + 1
        else:
            assert shows(text, output), f"the guide shows\n{text}\nbut the program says\n{output}"
    return ran


@pytest.fixture
def _empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(settings.VARIABLE, str(tmp_path / "settings.json"))


@pytest.mark.slow
@pytest.mark.usefixtures("_empty")
def test_the_first_rule_comes_out_as_the_guide_says(tmp_path: Path) -> None:
    assert follow(GUIDE.split("<!-- guide:start -->")[1].split("<!-- guide:end -->")[0]) >= 7
    assert settings.chosen_folder() == str(tmp_path / "our-shop")


RECIPE = re.compile(r"^<!-- recipe:(\w+) -->\n(.*?)^<!-- recipe:end -->$", re.DOTALL | re.MULTILINE)
RECIPES = dict(RECIPE.findall(GUIDE))


def test_the_guide_has_a_recipe_for_each_first_step() -> None:
    assert set(RECIPES) == {"limit", "fault", "joint", "circuit", "learning"}


@pytest.mark.usefixtures("_empty")
@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow if name != "circuit" else ()) for name in RECIPES]
)
def test_a_recipe_comes_out_as_the_guide_says(name: str) -> None:
    assert follow(RECIPES[name]) >= 2


@pytest.mark.slow
@pytest.mark.usefixtures("_empty")
@pytest.mark.parametrize("name", ["limit", "fault", "joint"])
def test_a_recipe_leaves_every_other_fault_where_it_was(kb: Knowledge, name: str) -> None:
    """Shipped faults stay as they are, and so do the likeliest cause and the repair of decisive cases."""
    follow(RECIPES[name])
    shop = load_knowledge(f"our-{name}")
    own = {id_ for id_ in shop.faults if shop.layers[f"faults/{id_}"] == f"our-{name}"}
    for id_, fault in kb.faults.items():
        assert id_ in own or stated(fault) == stated(shop.faults[id_])
    for file in sorted((shipped_folder() / "cases" / "decisive").glob("*.yaml"))[::4]:
        before, after = (replay(base, load_case(file.read_bytes(), file.name)).case for base in (kb, shop))
        assert before is not None
        assert after is not None
        assert (before.causes()[0].fault, before.verdict().repair) == (
            after.causes()[0].fault, after.verdict().repair
        ), file.name  # fmt: skip


def test_what_the_guide_shows_is_compared_word_for_word() -> None:
    assert shows("one ... three", "one two three\n")
    assert not shows("one ... four", "one two three\n")
