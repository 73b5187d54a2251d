"""What the program needs and does not need: no net, and nothing beside what the wheel brings."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import venv
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
NO_NET = """
import socket, sys


def refused(*args, **kwargs):
    raise SystemExit("the net was asked for")


for name in ("connect", "connect_ex", "bind", "sendto"):
    setattr(socket.socket, name, refused)
socket.create_connection = socket.getaddrinfo = socket.gethostbyname = refused
from crankpath.shell.main import main
sys.argv[0] = "crankpath"
main()
"""
CASE = """\
equipment: {system_voltage: 12, duty: heavy}
readings:
  crank_behaviour: slow
  positive_leg_drop: 820 mV
"""
SITTING = "slow\nloader: 12 V\n\n\n12.6\npositive leg 0.8\n?\nwhy\nnote rained all night\ncases\n"


def own_folders(folder: Path) -> dict[str, str]:
    names = ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "HOME", "TMPDIR")
    return {**os.environ, **dict.fromkeys(names, str(folder)), "CRANKPATH_STORE": str(folder / "c.sqlite")}


def without_net(folder: Path, *arguments: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    command, places = [sys.executable, "-c", NO_NET, *arguments], own_folders(folder)
    return subprocess.run(
        command, input=typed, env=places, capture_output=True, text=True, timeout=120, check=False
    )


@pytest.fixture
def case(tmp_path: Path) -> Path:
    file = tmp_path / "loader.yaml"
    file.write_text(CASE, "utf-8")
    return file


def test_a_diagnosis_asks_for_nothing_from_the_net(case: Path, tmp_path: Path) -> None:
    for arguments in (["diagnose", str(case)], ["diagnose", str(case), "--json"], ["sheet", str(case)]):
        done = without_net(tmp_path, *arguments)
        assert done.returncode == 0, done.stderr
        assert len(done.stdout) > 300


@pytest.mark.slow
def test_a_whole_sitting_asks_for_nothing_from_the_net(tmp_path: Path) -> None:
    done = without_net(tmp_path, typed=SITTING)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "rained all night" in done.stdout
    assert "%" in done.stdout  # causes were ranked


def test_the_block_would_be_noticed() -> None:
    asks = NO_NET.replace("main()\n", "socket.create_connection(('localhost', 1))\n")
    done = subprocess.run([sys.executable, "-c", asks], capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "the net was asked for" in done.stderr


def sources(folder: Path) -> Path:
    """A copy of what is under version control, so that a build touches nothing here."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True
    ).stdout.split("\0")
    for name in filter(None, listed):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, folder / name)
    return folder


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["wheel", "sdist"])
def test_what_is_built_installs_in_an_empty_environment_and_diagnoses(
    kind: str, case: Path, tmp_path: Path
) -> None:
    pytest.importorskip("build", reason="build comes with the extra 'dev'")
    source, made = sources(tmp_path / "source"), tmp_path / "made"
    build = [sys.executable, "-m", "build", f"--{kind}", "--outdir", str(made), str(source)]
    subprocess.run(build, check=True, capture_output=True)
    (archive,) = made.iterdir()
    if kind == "sdist":
        with tarfile.open(archive) as packed:
            held = {name.partition("/")[2] for name in packed.getnames()}
        assert {".ci/LICENSE", "DEVELOPERS.md", "tests/test_supply.py", "tests/kb/seeds.yaml"} <= held
    venv.create(tmp_path / "empty", with_pip=True)
    own = tmp_path / "empty" / "bin"
    subprocess.run([own / "pip", "install", "--quiet", str(archive)], check=True, cwd=tmp_path)
    done = subprocess.run(
        [own / "crankpath", "diagnose", str(case)], cwd=tmp_path, env=own_folders(tmp_path),
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "positive" in done.stdout
