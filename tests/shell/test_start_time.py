"""From process start to the first prompt, beside bare imports of what the program runs on."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

pexpect = pytest.importorskip("pexpect", reason="pexpect comes with the extra 'test'")

BARE = "import networkx, yaml, prompt_toolkit"
PROGRAM = "from crankpath.shell.main import main; main()"
MOST = 1.6
RUNS = 9


def _bare() -> float:
    begin = time.perf_counter()
    subprocess.run([sys.executable, "-c", BARE], check=True)
    return time.perf_counter() - begin


def _first_prompt(folder: Path) -> float:
    places = {"CRANKPATH_STORE": str(folder / "cases.db"), "XDG_DATA_HOME": str(folder), "TERM": "xterm"}
    program = shutil.which("crankpath", path=str(Path(sys.executable).parent))
    assert program is not None
    begin = time.perf_counter()
    child = pexpect.spawn(program, env={**os.environ, **places}, timeout=60)
    child.expect("operator says>")
    took = time.perf_counter() - begin
    child.close(force=True)
    return took


def _processor_time(code: str, *arguments: str) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", code, *arguments], check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@pytest.mark.slow
@pytest.mark.parametrize("arguments", [["--help"], ["kb", "--help"]])
def test_help_is_there_before_the_bare_imports_are(arguments: list[str]) -> None:
    pairs = [(_processor_time(BARE), _processor_time(PROGRAM, *arguments)) for _ in range(RUNS)]
    assert median(took for _, took in pairs) <= median(bare for bare, _ in pairs), pairs


@pytest.mark.slow
def test_the_first_prompt_comes_within_the_time_of_bare_imports_and_a_half(tmp_path: Path) -> None:
    pairs = [(_bare(), _first_prompt(tmp_path / str(run))) for run in range(RUNS)]
    assert median(prompt for _, prompt in pairs) <= MOST * median(bare for bare, _ in pairs), pairs
