"""The rules of the house that a reader would otherwise have to trust."""

from __future__ import annotations

import ast
import importlib
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parent.parent
PACKAGES = ("engine", "shell", "kb")
TOP_LEVEL = {
    "engine", "shell", "kb", "tests", ".ci", ".gitignore", ".pictures", "pyproject.toml", "README.md",
    "DEVELOPERS.md",
}
DATA = {".yaml", ".json", ".html", ".j2", ".css", ".js", ".typed"}

LONGEST_MODULE = 400
USUAL_FUNCTION = 40  # lines; nineteen in twenty keep to it
LONGEST_FUNCTION = 80

# The doors to disk: folders of a knowledge base, and the figures of the solved machine.
READ_DISK = {"engine/knowledge/archives.py", "engine/knowledge/folders.py", "engine/physics/tables.py"}
# Reads dates that stand in a recording; it asks no clock.
READ_DATES = {"engine/recordings/clocks.py"}
DISK_CALLS = {"open", "read_text", "read_bytes", "write_text", "write_bytes", "rglob", "iterdir"}
TALKING_CALLS = {"print", "input", "breakpoint", "exec", "eval", "__import__"}
ENGINE_MAY_IMPORT = {"crankpath", "networkx", "yaml"}
# The machine, its clock and its net are no input of the reasoning.
NOT_IN_ENGINE = {
    "asyncio", "datetime", "getpass", "http", "logging", "os", "platform", "shutil", "socket", "subprocess",
    "sys", "tempfile", "threading", "time", "urllib", "uuid", "warnings",
}  # fmt: skip


def project_files() -> list[Path]:
    """Files of the project, relative to its root: those git keeps or would keep."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    return sorted(Path(name) for name in listed.split("\0") if name and (ROOT / name).is_file())


FILES = project_files()
MODULES = [f for f in FILES if f.suffix == ".py" and f.parts[0] in PACKAGES]
ENGINE = [f for f in MODULES if f.parts[0] == "engine"]
SHELL = [f for f in MODULES if f.parts[0] == "shell"]
SETTINGS: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))


def tree_of(file: Path) -> ast.Module:
    return ast.parse((ROOT / file).read_text("utf-8"), str(file))


def imports_of(file: Path) -> Iterator[str]:
    """Dotted names of what a module imports, wherever in it."""
    for node in ast.walk(tree_of(file)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}:{node.lineno}: import by the full name, crankpath...."
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def calls_of(file: Path) -> Iterator[tuple[str, int]]:
    """Last name of everything a module calls, with the line."""
    for node in ast.walk(tree_of(file)):
        if isinstance(node, ast.Call):
            match node.func:
                case ast.Name(id=name) | ast.Attribute(attr=name):
                    yield name, node.lineno


def lay_out(folder: Path) -> Path:
    """Copy what the wheel is made from, so that no build touches the project's own folder."""
    for file in FILES:
        if file.parts[0] in PACKAGES or file.name in ("pyproject.toml", "README.md", "LICENSE"):
            (folder / file).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / file, folder / file)
    return folder


def run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


# -- rooms ----------------------------------------------------------------------------

MOST_MODULES = 13


def test_no_folder_has_more_modules_than_one_can_take_in() -> None:
    for folder in {f.parent for f in MODULES}:
        modules = [f for f in MODULES if f.parent == folder and f.stem != "__init__"]
        assert len(modules) <= MOST_MODULES, f"{folder}: {len(modules)} modules"


def test_rooms_import_each_other_in_one_direction() -> None:
    done = run([str(Path(sys.executable).with_name("lint-imports")), "--no-cache"], ROOT)
    assert done.returncode == 0, done.stdout


# -- layout and packaging -------------------------------------------------------------


def test_the_top_level_holds_only_what_is_agreed() -> None:
    assert {f.parts[0] for f in FILES} <= TOP_LEVEL


def test_every_folder_with_python_is_a_package_of_the_distribution() -> None:
    folders = {"crankpath." + ".".join(f.parent.parts) for f in MODULES}
    assert folders == set(SETTINGS["tool"]["setuptools"]["packages"])


def test_every_package_folder_says_what_it_is_for() -> None:
    for folder in {f.parent for f in MODULES}:
        assert ast.get_docstring(tree_of(folder / "__init__.py")), f"{folder}/__init__.py has no docstring"


@pytest.mark.slow
def test_the_wheel_holds_every_module_and_every_data_file_and_nothing_else(tmp_path: Path) -> None:
    pytest.importorskip("setuptools", minversion="77", reason="builds the wheel with setuptools 77 or later")
    source = lay_out(tmp_path / "source")
    build = f"import setuptools.build_meta as b; b.build_wheel({str(tmp_path)!r})"
    done = run([sys.executable, "-c", build], source)
    assert done.returncode == 0, done.stderr
    (wheel,) = tmp_path.glob("*.whl")
    held = {n for n in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in n}
    wanted = {
        f"crankpath/{f.as_posix()}"
        for f in FILES
        if f.parts[0] in PACKAGES and (f.suffix in DATA | {".py"} or f.name == "py.typed")
    }
    assert wanted - held == set()
    assert {n for n in held - wanted if not n.endswith(".md")} == set()


def test_the_command_is_there() -> None:
    module, _, function = SETTINGS["project"]["scripts"]["crankpath"].partition(":")
    assert callable(getattr(importlib.import_module(module), function))


def test_the_continuous_check_runs_the_test_command_of_the_readme() -> None:
    assert "python -m pytest\n" in (ROOT / "README.md").read_text("utf-8")
    assert "\npython -m pytest\n" in (ROOT / ".ci/run").read_text("utf-8")


# -- layers ---------------------------------------------------------------------------


def test_the_engine_imports_no_terminal_no_clock_and_no_shell() -> None:
    allowed = ENGINE_MAY_IMPORT | (sys.stdlib_module_names - NOT_IN_ENGINE)
    imported = {(file.as_posix(), name) for file in ENGINE for name in imports_of(file)}
    wrong = {
        (file, name)
        for file, name in imported
        if name.split(".")[0] not in allowed or name.startswith("crankpath.shell")
    }
    doors = {(file, "os") for file in READ_DISK}
    doors |= {(file, f"datetime.{name}") for file in READ_DATES for name in ("datetime", "UTC")}
    assert wrong - doors == set()


def test_the_engine_prints_asks_and_runs_nothing() -> None:
    calls = {(f"{file}:{line}", name) for file in ENGINE for name, line in calls_of(file)}
    assert {(where, name) for where, name in calls if name in TALKING_CALLS} == set()


def test_only_the_modules_that_load_the_knowledge_base_read_files() -> None:
    calls = {(file.as_posix(), line, name) for file in ENGINE for name, line in calls_of(file)}
    doors = {(file, line, name) for file, line, name in calls if name in DISK_CALLS}
    assert {door for door in doors if door[0] not in READ_DISK} == set()
    assert {file for file, _, _ in doors} == READ_DISK  # a door that is no longer used is taken off the list


def test_the_shell_computes_no_circuit() -> None:
    assert [f for f in SHELL for name in imports_of(f) if name.split(".")[0] == "networkx"] == []


def test_the_knowledge_base_holds_no_code() -> None:
    assert [f.as_posix() for f in MODULES if f.parts[0] == "kb"] == ["kb/__init__.py"]
    assert [type(node) for node in tree_of(Path("kb/__init__.py")).body] == [ast.Expr]


# -- readability ----------------------------------------------------------------------


def test_every_module_can_be_read_in_one_sitting() -> None:
    lines = {f.as_posix(): len((ROOT / f).read_text("utf-8").splitlines()) for f in ENGINE + SHELL}
    assert {file: count for file, count in lines.items() if count > LONGEST_MODULE} == {}


def test_functions_are_short_with_few_exceptions() -> None:
    lengths = {
        f"{file}:{node.lineno} {node.name}": (node.end_lineno or node.lineno) - node.lineno + 1
        for file in ENGINE + SHELL
        for node in ast.walk(tree_of(file))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    longer = {name: lines for name, lines in lengths.items() if lines > USUAL_FUNCTION}
    assert len(longer) <= len(lengths) / 20, longer
    assert {name: lines for name, lines in longer.items() if lines > LONGEST_FUNCTION} == {}


# What every module of a table of checks or commands calls its one function.
OF_A_TABLE = {"check", "command"}


def test_every_class_and_function_has_a_name_of_its_own() -> None:
    homes: dict[str, list[str]] = {}
    for file in ENGINE + SHELL:
        for node in tree_of(file).body:
            if isinstance(node, ast.ClassDef | ast.FunctionDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(f"{file}:{node.lineno}")
    homes = {name: places for name, places in homes.items() if name not in OF_A_TABLE}
    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


@pytest.mark.slow
def test_types_are_strict(tmp_path: Path) -> None:
    pytest.importorskip("mypy", reason="mypy comes with the extra 'dev'")
    # mypy cannot follow the editable install, so it is shown the installed layout.
    source = lay_out(tmp_path / "source")
    (tmp_path / "crankpath").mkdir()
    for name in PACKAGES:
        shutil.move(source / name, tmp_path / "crankpath" / name)
    shutil.move(source / "pyproject.toml", tmp_path)
    command = [sys.executable, "-m", "mypy", "--config-file", "pyproject.toml", "-p", "crankpath"]
    done = run(command, tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr


# -- nothing of one person's machine --------------------------------------------------

# Written in pieces, so that this file does not hold what it looks for.
FOLDERS = ("tmp", "work", "home", "root", "Users", "mnt", "opt")
MACHINE_PATHS = re.compile(r"(?<![\w.}/])/(?:" + "|".join(FOLDERS) + r")/\w|\b[A-Z]:\\" + r"\w")
HOSTS = ("py" + "pi", "python" + "hosted", "ana" + "conda", "np" + "mjs", "proxy" + ".golang")
REGISTRY_HOSTS = re.compile("|".join(rf"\b{re.escape(host)}\.(?:org|com)" for host in HOSTS))


def lines_with(pattern: re.Pattern[str]) -> list[str]:
    """File and number of every line of the project that the pattern is found in."""
    return [
        f"{file}:{number}"
        for file in FILES
        for number, line in enumerate((ROOT / file).read_text("utf-8").splitlines(), 1)
        if pattern.search(line)
    ]


def test_no_file_names_a_path_of_one_machine() -> None:
    assert lines_with(MACHINE_PATHS) == []


def test_no_file_names_a_package_registry() -> None:
    assert lines_with(REGISTRY_HOSTS) == []
