"""What the store of cases keeps when things go wrong, as a table.

``python tests/shell/store/fault_table.py [ROUNDS]`` prints it.

Writers are processes of their own. An entry counts as acknowledged once `append` has returned, or has
said in which journal it waits; as lost if the next opening does not bring it; as lost without a word if
nothing that was said at the opening tells that something is missing. The row on a network database
needs PostgreSQL's programs on the path.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import click

from crankpath.shell.store import StoreError, StoreUnavailable, open_store
from crankpath.shell.store.files.places import journal_of

NOON: Final = "2031-05-04T12:00:00Z"
ENTRIES: Final = 30
NOBODY: Final = 65534
FORK: Final = multiprocessing.get_context("fork")


@dataclass
class Row:
    """What came of one fault. told: the first sentence that a user saw."""

    rounds: int = 0
    acknowledged: int = 0
    lost: int = 0
    unsaid: int = 0
    told: str = ""

    def hear(self, sentences: list[str]) -> None:
        self.told = self.told or next(iter(sentences), "")


@dataclass
class Writing:
    """A process that writes entries, and what it printed of each."""

    place: str
    case_id: str
    before: Callable[[], None] = lambda: None
    at: Callable[[int], str] = lambda _: NOON
    entries: int = ENTRIES
    acknowledged: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def start(self) -> None:
        self._here, there = FORK.Pipe(duplex=False)
        self._process = FORK.Process(target=self._write, args=(there,))
        self._process.start()
        there.close()

    def _write(self, out: Any) -> None:
        self.before()
        try:
            store = open_store(self.place, patience=2.0)
        except StoreError as slip:
            out.send(("", str(slip)))
            os._exit(0)
        for number in range(self.entries):
            text, said = f"{os.getpid()} {number}", ""
            try:
                store.append(self.case_id, "note", {"text": text}, at=self.at(number))
            except StoreUnavailable as trouble:
                said = str(trouble)
                text = text if trouble.kept_in else ""
            out.send((text, said))
        os._exit(0)

    def stop(self, kill: bool = False) -> None:
        """Wait for the end, or end it now; take in what it printed."""
        if kill:
            os.kill(self._process.pid or 0, signal.SIGKILL)
        try:
            while True:
                text, said = self._here.recv()
                self.acknowledged += [text] if text else []
                self.told += [said] if said else []
        except EOFError:
            self._process.join()


def begun(folder: Path) -> tuple[str, str]:
    """A new store with one case: its place and the case's id."""
    place = folder / "cases.sqlite"
    store = open_store(place)
    case_id = store.create_case("loader", at=NOON).case_id
    store.close()
    return str(place), case_id


def look(row: Row, place: str, case_id: str, writers: list[Writing]) -> None:
    """Open the store again and count what is there."""
    row.rounds += 1
    wanted = {text for writer in writers for text in writer.acknowledged}
    try:
        said, found = _opened(place, case_id)
    except StoreUnavailable:  # found damaged while it was read: the next opening makes it anew
        said, found = _opened(place, case_id)
    row.hear([sentence for writer in writers for sentence in writer.told] + said)
    lost = len(wanted - found)
    row.acknowledged += len(wanted)
    row.lost += lost
    heard = " ".join(said).replace("No entry of the journal is missing", "")
    row.unsaid += 0 if "missing" in heard or "cannot" in heard else lost


def _opened(place: str, case_id: str) -> tuple[list[str], set[str]]:
    store = open_store(place)
    try:
        known = {case.id for case in store.cases(open_only=False)}
        events = store.events(case_id) if case_id in known else ()
        return list(store.said), {str(event.body.get("text")) for event in events}
    finally:
        store.close()


def killed(row: Row, folder: Path, chance: random.Random, writers: int = 1) -> None:
    place, case_id = begun(folder)
    writing = [Writing(place, case_id) for _ in range(writers)]
    for one in writing:
        one.start()
    time.sleep(chance.uniform(0.02, 0.4))
    for one in writing:
        one.stop(kill=True)
    look(row, place, case_id, writing)


def two_killed(row: Row, folder: Path, chance: random.Random) -> None:
    killed(row, folder, chance, writers=2)


def harmed(row: Row, folder: Path, chance: random.Random, how: str, journal_too: bool = False) -> None:
    place, case_id = begun(folder)
    writing = Writing(place, case_id, entries=3 * ENTRIES)
    writing.start()
    writing.stop()
    for file in (Path(place), *([journal_of(Path(place)).path] if journal_too else [])):
        content = bytearray(file.read_bytes())
        if how == "cut":
            del content[chance.randrange(len(content)) :]
        else:
            for _ in range(chance.randint(1, 20)):
                content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
        file.write_bytes(content)
    look(row, place, case_id, [writing])


def full_disk(row: Row, folder: Path, chance: random.Random) -> None:
    """No file may grow beyond a limit, as on a disk without room."""
    place, case_id = begun(folder)
    most = Path(place).stat().st_size + chance.randrange(40_000)

    def limit() -> None:
        sys.dont_write_bytecode = True  # the limit would cut what other tests read
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    writing = Writing(place, case_id, before=limit, entries=3 * ENTRIES)
    writing.start()
    writing.stop()
    look(row, place, case_id, [writing])


def read_only(row: Row, folder: Path, _: random.Random) -> None:
    """The folder may not be written by the one who writes; another may."""
    place, case_id = begun(folder)
    for path in (folder, *folder.iterdir()):
        path.chmod(0o555 if path.is_dir() else 0o444)

    def other_user() -> None:
        if os.geteuid() == 0:
            os.setuid(NOBODY)

    writing = Writing(place, case_id, before=other_user, entries=3)
    writing.start()
    writing.stop()
    for path in (folder, *folder.iterdir()):
        path.chmod(0o755 if path.is_dir() else 0o644)
    look(row, place, case_id, [writing])


def clock_back(row: Row, folder: Path, chance: random.Random) -> None:
    """Every entry has another time; their order must be that of writing."""
    place, case_id = begun(folder)
    years = [chance.randrange(1970, 2100) for _ in range(ENTRIES)]
    writing = Writing(place, case_id, at=lambda number: f"{years[number]}-01-01T00:00:00Z")
    writing.start()
    writing.stop()
    store = open_store(place)
    order = [event.body.get("text") for event in store.events(case_id) if event.kind == "note"]
    store.close()
    row.lost += order != writing.acknowledged
    look(row, place, case_id, [writing])


def database_gone(row: Row, folder: Path, chance: random.Random) -> None:
    """The server of a shared store is stopped at once in mid-write, and started again afterwards."""
    with Server(folder / "server") as server:
        store = open_store(server.address)
        case_id = store.create_case("loader", at=NOON).case_id
        store.close()
        writing = Writing(server.address, case_id)
        writing.start()
        time.sleep(chance.uniform(0.1, 0.6))
        server.stop("immediate")
        writing.stop()
        server.start()
        look(row, server.address, case_id, [writing])


class Server:
    """A PostgreSQL of our own in a folder, under another user where this one is root."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self._port = free.getsockname()[1]
        self.address = f"postgresql://postgres@127.0.0.1:{self._port}/postgres"

    def __enter__(self) -> Server:
        self._folder.mkdir()
        if os.geteuid() == 0:
            os.chown(self._folder, NOBODY, NOBODY)
        self._run("initdb", "-D", "data", "-U", "postgres", "-A", "trust", "--no-sync")
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop("fast")

    def start(self) -> None:
        options = f"-p {self._port} -k {self._folder} -c listen_addresses=127.0.0.1"
        self._run("pg_ctl", "-D", "data", "-o", options, "-l", "log", "-w", "start")

    def stop(self, mode: str) -> None:
        self._run("pg_ctl", "-D", "data", "-m", mode, "-w", "stop")

    def _run(self, program: str, *arguments: str) -> None:
        user = {"user": NOBODY, "group": NOBODY} if os.geteuid() == 0 else {}
        command = [shutil.which(program) or program, *arguments]
        subprocess.run(command, cwd=self._folder, check=True, capture_output=True, **user)


@contextmanager
def own_folders() -> Iterator[Path]:
    """A folder that every default place lies in, open to every user."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for variable in ("XDG_DATA_HOME", "XDG_STATE_HOME", "TMPDIR"):
            os.environ[variable] = str(folder / "own")
        (folder / "own").mkdir()
        (folder / "own").chmod(0o777)
        folder.chmod(0o755)
        yield folder


FAULTS: Final[dict[str, Callable[[Row, Path, random.Random], None]]] = {
    "killed at a random moment": killed,
    "two writers, both killed": two_killed,
    "store cut short": lambda row, folder, chance: harmed(row, folder, chance, "cut"),
    "bits of the store flipped": lambda row, folder, chance: harmed(row, folder, chance, "flip"),
    "store and journal cut short": lambda row, folder, chance: harmed(row, folder, chance, "cut", True),
    "bits of both flipped": lambda row, folder, chance: harmed(row, folder, chance, "flip", True),
    "disk full": full_disk,
    "folder read-only": read_only,
    "clock goes back": clock_back,
    "network database goes away": database_gone,
}


def table(rounds: int, seed: int = 1, left_out: tuple[str, ...] = ()) -> dict[str, Row]:
    """Fault -> what came of it, each tried so often."""
    rows: dict[str, Row] = {}
    for name, fault in FAULTS.items():
        if name in left_out:
            continue
        rows[name] = Row()
        for number in range(rounds):
            with own_folders() as folder:
                (folder / "store").mkdir()
                fault(rows[name], folder / "store", random.Random(seed * 1000 + number))
    return rows


def main() -> None:
    """Print the table."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    without = () if shutil.which("initdb") else ("network database goes away",)
    head = ("rounds", "acknowledged", "lost", "without a word", "what the user was told first")
    click.echo(f"{'fault':28}" + "  ".join(head))
    for name, row in table(rounds, left_out=without).items():
        figures = f"{row.rounds:6}{row.acknowledged:14}{row.lost:6}{row.unsaid:16}"
        click.echo(f"{name:28}{figures}  {row.told[:120] or 'nothing'}")


if __name__ == "__main__":
    main()
