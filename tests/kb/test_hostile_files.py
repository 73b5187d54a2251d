"""Files made to annoy, through the command: one sentence, soon, in little memory, nothing built."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

SECONDS, MEGABYTES = 2.0, 200
BILLION = "a0: &a0 [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"a{n}: &a{n} [{','.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 12)
)
HOSTILE = {
    "anchors": BILLION.encode(),
    "a tag": b"faults: !!python/object/apply:os.system ['touch built']\n",
    "a tag of its own": b"faults: !<tag:example.org,2000:thing> {a: 1}\n",
    "deep lists": b"[" * 400_000,
    "deep mappings": b"a: " * 1 + b"{a: " * 300_000,
    "deep indentation": "".join(f"{' ' * n}a:\n" for n in range(1500)).encode(),
    "50 MB": b"a: b\n" * 10_000_000,
    "50 MB on one line": b"x" * 50_000_000,
    "binary": os.urandom(200_000),
    "zeros": b"\0" * 100_000,
    "many keys": b"".join(b"k%d: 1\n" % n for n in range(200_000)),
    "many problems": b"faults:\n" + b"".join(b"  f%d: {x: 1}\n" % n for n in range(50_000)),
}
USELESS = ("a tag", "deep lists", "50 MB", "binary")  # one sentence is all there is to say


def run_measured(folder: Path, cwd: Path) -> tuple[subprocess.CompletedProcess[str], float, float]:
    """The command on a folder: what it did, its processor seconds and its peak in MB."""
    script = (
        "import resource, sys\n"
        "from crankpath.shell.main import main\n"
        "sys.argv = ['crankpath', 'kb', 'check', sys.argv[1]]\n"
        "try:\n    main()\nfinally:\n"
        "    used = resource.getrusage(resource.RUSAGE_SELF)\n"
        # not ru_maxrss: that begins with what the process that started this one had used
        "    peak = int(open('/proc/self/status').read().split('VmHWM:')[1].split()[0])\n"
        "    print('\\nMEASURED', used.ru_utime + used.ru_stime, peak / 1024, file=sys.stderr)\n"
    )
    env = {**os.environ, "CRANKPATH_SETTINGS": str(cwd / "none.json")}
    done = subprocess.run(
        [sys.executable, "-c", script, str(folder)],
        capture_output=True, text=True, check=False, env=env, cwd=cwd, timeout=120,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (4 << 30, 4 << 30)),
    )  # fmt: skip
    assert "MEASURED" in done.stderr, done.stderr
    _, seconds, megabytes = done.stderr.strip().splitlines()[-1].split()
    return done, float(seconds), float(megabytes)


USUAL = ("anchors", "a tag")


@pytest.mark.parametrize(
    "name", [*USUAL, *(pytest.param(name, marks=pytest.mark.slow) for name in HOSTILE if name not in USUAL)]
)
def test_a_hostile_file_ends_in_a_sentence_with_its_place(name: str, tmp_path: Path) -> None:
    (tmp_path / "shop.yaml").write_bytes(HOSTILE[name])
    done, seconds, megabytes = run_measured(tmp_path, tmp_path)
    assert done.returncode == 3, done.stderr
    about_the_file = [line for line in done.stdout.splitlines() if line.startswith("shop.yaml:")]
    first = about_the_file[0]
    assert first == done.stdout.splitlines()[0]
    assert len({line.split(" ")[0] for line in about_the_file}) == len(about_the_file)
    if name in USELESS:
        assert len(about_the_file) == 1
    assert first.endswith(")")
    assert "Traceback" not in done.stdout + done.stderr
    assert len(first) < 400
    assert not (tmp_path / "built").exists()
    assert seconds < SECONDS
    assert megabytes < MEGABYTES


@pytest.mark.slow
def test_a_zip_that_unpacks_to_very_much_is_stopped_at_what_a_file_may_have(tmp_path: Path) -> None:
    import zipfile

    with zipfile.ZipFile(tmp_path / "shop.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("shop.yaml", b"a: b\n" * 20_000_000)
    done, seconds, megabytes = run_measured(tmp_path / "shop.zip", tmp_path)
    assert done.returncode == 3
    assert "larger than 2 MB" in done.stdout
    assert seconds < SECONDS
    assert megabytes < MEGABYTES
