"""The program where the machine is against it: no room, no right, odd names, another user."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

CODE = "from crankpath.shell.main import main; main()"
AS_NOBODY = """
import os, sys
import crankpath.shell.session.loop, crankpath.shell.session.start
from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.shell.main import main
from crankpath.shell.store import open_store
load_knowledge()  # all is brought in: the other user may not read the installation
open_store(sys.argv.pop(1)).close()
os.setgid(65534)
os.setuid(65534)
main()
"""
SCRIPT = "just clicks\n\n\n\n0.35 V\nnote rained all night\n12.4\n"


def slowly(*values: object) -> list[object]:
    """Values of a parameter that are tried with the slow tests."""
    return [pytest.param(value, marks=pytest.mark.slow) for value in values]


def session(
    folder: Path,
    store: Path | str,
    script: str,
    before: Callable[[], None] | None = None,
    code: tuple[str, ...] = (CODE,),
    **more: str,
) -> subprocess.CompletedProcess[str]:
    """The program on pipes, with every folder of its own inside ``folder``."""
    places = {
        "XDG_DATA_HOME": str(folder), "XDG_STATE_HOME": str(folder), "XDG_CONFIG_HOME": str(folder),
        "HOME": str(folder), "TMPDIR": str(folder), "CRANKPATH_STORE": str(store),
        "PYTHONDONTWRITEBYTECODE": "1",  # a limit on files would cut what other tests read
    }  # fmt: skip
    return subprocess.run(
        [sys.executable, "-c", *code],
        input=script,
        env={**os.environ, **places, **more},
        cwd=folder,
        preexec_fn=before,  # a limit for the child alone
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )


def in_order(done: subprocess.CompletedProcess[str]) -> None:
    assert "Traceback" not in done.stderr + done.stdout, done.stderr
    assert done.returncode in (0, 1, 2, 3), done.stderr


@pytest.mark.parametrize("name", slowly("süd №5 🚜", "with a space", "-dash", "quote's \"two\""))
def test_the_store_may_have_any_name(name: str, tmp_path: Path) -> None:
    done = session(tmp_path, tmp_path / name / "cases.sqlite", SCRIPT)
    in_order(done)
    assert (tmp_path / name / "cases.sqlite").is_file()


@pytest.mark.parametrize("kilobytes", [40, *slowly(0, 4, 100)])
def test_a_full_disk_is_one_sentence_and_no_traceback(kilobytes: int, tmp_path: Path) -> None:
    """No file may grow beyond the limit, as on a disk without room."""

    def limit() -> None:
        import signal

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (kilobytes * 1024, kilobytes * 1024))

    in_order(session(tmp_path, tmp_path / "cases.sqlite", SCRIPT, limit))


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become another user")
@pytest.mark.parametrize(
    "rights", slowly("read-only file", "folder of another user", "file of another user")
)
def test_no_right_to_write_is_one_sentence(rights: str, everyones: Path) -> None:
    place = everyones / "cases.sqlite"
    session(everyones, place, SCRIPT)
    own = everyones / "own"
    own.mkdir()
    if rights == "folder of another user":
        place = everyones / "new" / "cases.sqlite"
    elif rights == "read-only file":
        place = own / "cases.sqlite"
        place.write_bytes((everyones / "cases.sqlite").read_bytes())
        place.chmod(0o444)
    os.chown(own, 65534, 65534)

    done = session(own, place, SCRIPT, code=(AS_NOBODY, str(everyones / "first.sqlite")))
    in_order(done)
    assert "may not be written" in done.stdout + done.stderr, done


@pytest.mark.parametrize("language", slowly("C", "C.UTF-8", "de_DE.UTF-8", "POSIX"))
def test_any_language_of_the_system_is_worked_in(language: str, tmp_path: Path) -> None:
    done = session(tmp_path, tmp_path / "cases.sqlite", SCRIPT.replace("0.35", "0,35"), LC_ALL=language)
    in_order(done)


@pytest.mark.parametrize(
    "arguments",
    [
        ["diagnose", "nowhere.yaml"],
        *slowly(["--kb", "nowhere", "evaluate"], ["--kb", "nowhere" * 900, "kb", "list"]),
    ],
)
def test_what_is_not_there_is_named(arguments: list[str], tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CODE, *arguments], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    in_order(done)
    assert done.returncode in (2, 3)
    assert "nowhere" in done.stderr


@pytest.mark.slow
def test_a_settings_file_of_any_content_is_one_sentence_or_ignored(tmp_path: Path) -> None:
    for content in (b"", b"{", b"[]", b"null", b'{"kb": 5}', b"\xff\xfe", b'{"kb": "%s"}' % (b"x" * 5000)):
        (tmp_path / "settings.json").write_bytes(content)
        named = str(tmp_path / "settings.json")
        in_order(session(tmp_path, tmp_path / "cases.sqlite", SCRIPT, CRANKPATH_SETTINGS=named))
