"""Sessions of the three users, recorded from the real program.

``python tests/transcripts/recording.py`` writes the pages beside this file and the excerpt in
README.md between its markers; a test holds that they say what the program prints now.
"""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from playing import Person

from crankpath.engine.knowledge.loading import load_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.engine.solved.drawn.draw import draw_machine

HERE = Path(__file__).parent
README = HERE.parent.parent / "README.md"
BEGIN, END = "<!-- session:start -->\n", "<!-- session:end -->"
_PROMPT = re.compile(r"(?:\[[^]]*\] )?([a-z][a-z?/= -]*)> ", re.IGNORECASE)
_REFERENCE = re.compile(r"\b([BCDFGHJKMNPQRSTV]{4})-(?=\d)")
_CLOCK = re.compile(r"\b\d\d:\d\d\b")
_PROGRAM = [sys.executable, "-c", "from crankpath.shell.main import main; main()"]

RULE = """\
rules:
  our_loaders_burn_the_disconnect:
    faults: [disconnect_contacts]
    measurements: [warm_joint]
    given: {duty: heavy}
    reads: {disconnect: 0.9}
    because: "On our loaders the washing water stands in the switch: it is warm before it fails."
    source: [common_practice]
"""


@dataclass
class Place:
    """A folder with its own store, for one user."""

    folder: Path
    said: list[str] = field(default_factory=list)

    def run(self, *arguments: str) -> None:
        """Run a command as a user would, and note it with what it printed."""
        done = subprocess.run(
            [*_PROGRAM, *arguments], cwd=self.folder, env=self._environment(), capture_output=True, text=True,
            check=False, encoding="utf-8",
        )  # fmt: skip
        self.said.append(f"$ crankpath {' '.join(arguments)}\n{done.stdout}{done.stderr}".rstrip())

    def talk(self, answer: Callable[[str, str], str | None], *arguments: str) -> str:
        """Hold a session; `answer` gets the prompt and all that was printed; None leaves."""
        with self._opened(arguments) as program:
            seen = ""
            while True:
                seen += _until_prompt(program)
                prompt = _PROMPT.fullmatch(seen.rpartition("\n")[2])
                line = answer(prompt[1], seen) if prompt else None
                if line is None:
                    break
                assert program.stdin is not None
                program.stdin.write(f"{line}\n".encode())
                program.stdin.flush()
        self.said.append(f"$ crankpath {' '.join(arguments)}".rstrip() + f"\n{seen.rstrip()}")
        return seen

    @contextmanager
    def _opened(self, arguments: tuple[str, ...]) -> Iterator[subprocess.Popen[bytes]]:
        command = [*_PROGRAM, *arguments]
        program = subprocess.Popen(
            command, cwd=self.folder, env=self._environment(), stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )  # fmt: skip
        with program:
            yield program
            assert program.stdin is not None
            program.stdin.close()
            assert program.stdout is not None
            program.stdout.read()

    def _environment(self) -> dict[str, str]:
        kept = {name: value for name, value in os.environ.items() if name in ("PATH", "PYTHONPATH")}
        folder = str(self.folder / ".kept")
        homes = {f"XDG_{name}_HOME": folder for name in ("DATA", "CONFIG", "STATE")}
        return {**kept, **homes, "HOME": folder, "LANG": "C.UTF-8", "COLUMNS": "80", "PYTHONUTF8": "1"}


def _until_prompt(program: subprocess.Popen[bytes]) -> str:
    """What the program prints until it waits, or ends."""
    assert program.stdout is not None
    data = b""
    while True:
        piece = os.read(program.stdout.fileno(), 65536)
        data += piece
        if not piece or _PROMPT.fullmatch(data.rpartition(b"\n")[2].decode("utf-8", "replace")):
            return data.decode("utf-8")


def script(*lines: str) -> Callable[[str, str], str | None]:
    """Answers in order, whatever is asked; what must only be confirmed is confirmed first."""
    waiting = list(lines)

    def answer(prompt: str, seen: str) -> str | None:
        if prompt == "ready":
            return ""
        return waiting.pop(0) if waiting else None

    return answer


def technician(kb: Knowledge, place: Place) -> None:
    """A fault that hides, from the complaint to the repair proven by good cranks."""
    machine = draw_machine(random.Random(1), kb, faults={"negative_post_joint": None}, intermittent=True)
    person = Person(kb, machine, random.Random(51), "turns over slow, now and then", name="loader 7")

    def answer(prompt: str, seen: str) -> str | None:
        return None if prompt == "case" else person.answer(prompt, seen)

    place.talk(answer)


def mechanic(kb: Knowledge, place: Place) -> None:
    """Knowledge of the shop's own: a slip found, mended, and what the rule changes."""
    shop = place.folder / "shop"
    shop.mkdir()
    (shop / "ours.yaml").write_text(RULE.replace("disconnect: 0.9", "disconect: 0.9"), "utf-8")
    place.said.append(f"$ cat shop/ours.yaml\n{(shop / 'ours.yaml').read_text('utf-8').rstrip()}")
    place.run("kb", "check", "shop")
    (shop / "ours.yaml").write_text(RULE, "utf-8")
    place.said.append("$ sed -i s/disconect/disconnect/ shop/ours.yaml")
    place.run("kb", "check", "shop")
    machine = "loader 3: 24 V, disconnect positive"
    case = ("cranks slowly", "y", "every time", machine, "", "warm joint: disconnect", "why 1")
    place.talk(script(*case))
    place.talk(script("new", *case), "--kb", "shop")


def advisor(kb: Knowledge, place: Place) -> None:
    """Two machines on the phone: steps sent, replies pasted as they come, the desk handed over."""
    first = (
        "just clicks, will not turn", "y", "every time", "bus 12: 24 V", "",
        "send",
        "reply", "lights stay bright, one click", "pos .35 neg leg 310", "crank 24.1",
        "rained all night by the way", "", "1", "4", "",
        "send contacts",
        "promise call back in five minutes",
    )  # fmt: skip
    second = ("new", "nothing happens", "y", "every time", "tractor: 12 V, light", "", "send S term")
    after = ("desk", "@bus", "reply contacts 23.9 V", "", "handover", "export whole bus.json")
    place.talk(script(*first, *second, *after))
    place.run("desk", "--width", "80")
    place.run("--store", "night-shift.sqlite", "import", "bus.json")
    place.run("--store", "night-shift.sqlite", "desk", "--width", "40")


USERS = {
    "technician": ("A technician beside the machine", technician),
    "mechanic": ("A mechanic who writes down what the shop knows", mechanic),
    "advisor": ("An advisor with two machines on the phone", advisor),
}
"""Name of the page -> its title, and what is done in it."""


def recorded(kb: Knowledge, user: str) -> str:
    """The page of one user, as the program prints it now."""
    title, act = USERS[user]
    with tempfile.TemporaryDirectory() as folder:
        place = Place(Path(folder))
        act(kb, place)
        blocks = "\n\n".join(place.said).replace(folder, "~")
    about = (act.__doc__ or "").strip()
    return f"# {title}\n\n{about}\n\n```text\n{_tidy(blocks)}\n```\n"


def _tidy(text: str) -> str:
    """Without spaces at the ends of lines, and as if every session were held at nine, in no time.

    A case's letters are made from its id; they become those of the first, second ... case.
    """
    letters = dict.fromkeys(_REFERENCE.findall(text))
    named = {mark: letter * 4 for mark, letter in zip(letters, "BCDFGHJK", strict=False)}
    text = _REFERENCE.sub(lambda m: f"{named.get(m[1], m[1])}-", text)
    quick = re.sub(r"\b\d min  ", "now    ", _CLOCK.sub("09:00", text))
    return "\n".join(line.rstrip() for line in quick.splitlines())


def excerpt(page: str) -> str:
    """For the README: the last reading of a session, what it changed, and the repair it proved."""
    lines = page.splitlines()
    repair = next(n for n, line in enumerate(lines) if line.startswith(">> REPAIR"))
    start = max(n for n in range(repair) if _PROMPT.match(lines[n]) and not "failing?" not in lines[n])
    end = next(n for n in range(repair, len(lines)) if "repair> " in lines[n])
    pages = "; ".join(
        f"[{title[0].lower()}{title[1:]}](tests/transcripts/{user}.md)" for user, (title, _) in USERS.items()
    ).replace("; ", ";\n")
    shown = "\n".join(lines[start : end + 1])
    return (
        "The last reading of a session, what it changed, and the repair it proved:\n\n"
        f"```text\n{shown}\n```\n\nWhole sessions: {pages}.\n"
        "They are recorded from the program by `python tests/transcripts/recording.py`.\n"
    )


def with_excerpt(readme: str, text: str) -> str:
    """README's text with the excerpt between its markers."""
    before, rest = readme.split(BEGIN)
    return f"{before}{BEGIN}{text}{END}{rest.split(END, 1)[1]}"


def main() -> None:
    """Record everything."""
    kb = load_knowledge()
    for user in USERS:
        page = recorded(kb, user)
        (HERE / f"{user}.md").write_text(page, "utf-8")
        if user == "technician":
            README.write_text(with_excerpt(README.read_text("utf-8"), excerpt(page)), "utf-8")


if __name__ == "__main__":
    main()
