"""``crankpath kb use`` and ``kb where``: a shop's folder set once, and where an entry comes from."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from crankpath.shell import settings
from crankpath.shell.main import cli

SHOP = """\
faults:
  positive_cable: {like: positive_cable, share: 0.05}
  our_own: {like: positive_cable, label: ours}
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(settings.VARIABLE, str(tmp_path / "config" / "settings.json"))
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "shop.yaml").write_text(SHOP, "utf-8")
    return folder


def run(*words: str) -> Result:
    return CliRunner().invoke(cli, list(words))


def test_a_folder_that_is_set_is_laid_over_in_every_later_run(shop: Path) -> None:
    assert run("kb", "use", str(shop)).exit_code == 0
    assert f"faults our_own: {shop}/shop.yaml:3" in run("kb", "where", "our_own").output
    assert str(shop) in run("kb", "use").output


def test_none_goes_back_to_the_shipped_knowledge(shop: Path) -> None:
    run("kb", "use", str(shop))
    assert "shipped knowledge alone" in run("kb", "use", "--none").output
    assert "There is no entry 'our_own'" in str(run("kb", "where", "our_own").exception)


def test_a_folder_that_cannot_be_used_is_not_set(shop: Path) -> None:
    (shop / "shop.yaml").write_text("faults: {x: {}}\n", "utf-8")
    assert run("kb", "use", str(shop)).exception is not None
    assert settings.chosen_folder() is None


def test_another_folder_can_be_given_for_one_run(shop: Path, tmp_path: Path) -> None:
    run("kb", "use", str(shop))
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "o.yaml").write_text(SHOP.replace("our_own", "their_own"), "utf-8")
    output = run("--kb", str(tmp_path / "other"), "kb", "where", "their_own").output
    assert "other/o.yaml:3" in output


def test_an_entry_in_place_of_a_shipped_one_is_shown_with_both_places(shop: Path) -> None:
    (line,) = run("--kb", str(shop), "kb", "where", "faults/positive_cable").output.splitlines()
    assert f"{shop}/shop.yaml:2, in place of " in line
    assert "positive_run.yaml:" in line


def test_an_id_in_two_sections_is_shown_twice(shop: Path) -> None:
    output = run("kb", "where", "positive_cable").output
    assert {line.split()[0] for line in output.splitlines()} == {"segments", "faults"}


def test_a_folder_that_has_gone_is_told_with_the_way_out(shop: Path) -> None:
    run("kb", "use", str(shop))
    (shop / "shop.yaml").unlink()
    shop.rmdir()
    result = run("diagnose", "nothing.yaml")
    assert "crankpath kb use --none" in str(result.exception)
    assert run("kb", "use", "--none").exit_code == 0


def test_damaged_settings_are_told_with_their_place(shop: Path) -> None:
    path = settings.settings_path()
    path.parent.mkdir()
    path.write_text("{", "utf-8")
    with pytest.raises(settings.SettingsError, match="Correct or delete the file"):
        settings.chosen_folder()


def test_a_whole_base_can_be_set_and_a_shop_s_folder_laid_over_it(shop: Path) -> None:
    small = Path(__file__).parents[3] / "data" / "small"
    (shop / "shop.yaml").write_text("settings: {conflict_bits: {value: 4, about: ours}}\n", "utf-8")
    assert run("--alone", str(small), "kb", "use", str(shop)).exit_code == 0
    assert f"Laid over the knowledge base {small}: {shop}" in run("kb", "use").output
    assert "faults" in run("kb", "where", "hot_cable").output
