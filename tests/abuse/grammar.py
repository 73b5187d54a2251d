"""Inputs made from real cases and then harmed, the same for the same number.

A case of the knowledge base is told again as a person would type it, send it, write it into a file or
export it; then words, parts of a tree or lines are dropped, doubled, swapped, nested, misspelt or given
a value of another sort.
"""

from __future__ import annotations

import json
import math
from copy import deepcopy
from random import Random
from typing import Any, Final

from crankpath.engine.cases.casefile import CannotEntry, ReadingEntry, RepairedEntry, TriesEntry, read_case
from crankpath.engine.knowledge.folders import case_texts, shipped_folder
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.main import COMMANDS
from crankpath.shell.session.commands.table import COMMANDS as WORDS

ODD_WORDS: Final = (
    "0", "-0", "1e9", "9" * 400, "1,2,3", "0.35.1", "½", "٣", "∞", "OL", "nan", "-", "±", "(((", "\"", "'",
    "\x00", "\x1b[31m", "\u202e", "a\u0301" * 40, "\ud800", "👍", "\t", "<b>", "{}", "[]", "%s", "../..",
    "not", "no", "yes", "y", "n", "and", "or", "if", "when it failed", "yesterday", "V", "mV", "of", "?", ":",
    "~x/y",
)  # fmt: skip
ODD_VALUES: Final = (
    None, True, False, 0, -1, 1.5, 1e308, -1e308, math.inf, math.nan, 10**40, 10**400, "", " ", "x" * 30_000,
    "\ud800", "\x00", "12 V", "1e999", [], [[]], {}, {"x": {}}, [None], "2031-13-45", "0" * 32, {"a": [1]},
)  # fmt: skip
ANSWERS: Final = ("", "y", "n", "1", "2", "done", "good 3", "failed", "cured", "not cured")
KEYBOARD: Final = "abcdefghijklmnopqrstuvwxyz.,- 0123456789"


class Grammar:
    """Makes inputs for every entry point."""

    def __init__(self, kb: Knowledge) -> None:
        self.kb = kb
        texts = [text for _, text in case_texts(shipped_folder()) if isinstance(text, bytes)]
        read = [(text, read_case(text, "a.yaml")[0]) for text in texts]
        self.cases = [(text, case) for text, case in read if case is not None]
        self.names = {m.id: [m.id, m.label, m.short, *m.aliases] for m in kb.measurements.values()}
        self.words = [word for command in WORDS for word in (command.word, *command.others)]

    # -- what a person types ----------------------------------------------------------

    def lines(self, chance: Random) -> list[str]:
        """A sitting over a case: its opening, its entries and words in between, some of them harmed."""
        _, case = chance.choice(self.cases)
        volts = case.equipment.get("system_voltage", 12)
        said = [case.complaint or "slow", "1", "every time", f"loader {chance.randrange(9)}: {volts} V", ""]
        for entry in case.entries:
            said.append(self._said(chance, entry))
            if chance.random() < 0.4:
                odd = chance.choice(ODD_WORDS)
                rest = chance.choice(["", str(chance.randrange(9)), self._name(chance), odd])
                said.append(f"{chance.choice(self.words)} {rest}".strip())
            if chance.random() < 0.3:
                said.append(chance.choice(ANSWERS))
        harmed = [self.harmed(chance, line) if chance.random() < 0.4 else line for line in said]
        return harmed[: chance.randint(3, 14)]

    def reply(self, chance: Random) -> str:
        """A message that tells the entries of a case, harmed."""
        _, case = chance.choice(self.cases)
        joint = chance.choice(["\n", ", ", ". ", " ", " and ", "; "])
        said = joint.join(self._said(chance, entry) for entry in case.entries) or "no luck"
        return self.harmed(chance, said, chance.randint(0, 6))

    def _name(self, chance: Random) -> str:
        return chance.choice(self.names[chance.choice(list(self.names))])

    def _said(self, chance: Random, entry: Any) -> str:
        match entry:
            case ReadingEntry():
                name = chance.choice(self.names.get(entry.measurement, [entry.measurement]))
                link = chance.choice([" ", ": ", " = ", " reads ", " is "])
                state = chance.choice(["", "", " when it failed", " while it cranked fine", " failed"])
                return f"{name}{link}{entry.value}{state}"
            case CannotEntry():
                return f"cannot {self._name(chance)}"
            case TriesEntry():
                return f"{entry.failures} of {entry.of} failed"
            case RepairedEntry():
                return f"done {entry.repair}"
            case _:
                return str(entry.note)

    def harmed(self, chance: Random, text: str, times: int = 2) -> str:
        """A text with words dropped, doubled, moved, repeated, misspelt or put in."""
        words = text.split(" ")
        for _ in range(times):
            at = chance.randrange(len(words))
            match chance.randrange(9):
                case 0:
                    del words[at]
                case 1:
                    words[at:at] = words[at : at + chance.randint(1, 4)] * chance.choice([1, 2, 40])
                case 2:
                    other = chance.randrange(len(words))
                    words[at], words[other] = words[other], words[at]
                case 3:
                    words.insert(at, chance.choice(ODD_WORDS))
                case 4:
                    words[at] = chance.choice(ODD_WORDS)
                case 5:
                    words[at] = self._name(chance)
                case 6:
                    words[at : at + 2] = ["".join(words[at : at + 2])]
                case 7:
                    words[at] = f"({words[at]}" * chance.choice([1, 3]) + ")" * chance.choice([0, 1, 3])
                case _:
                    words[at] = _misspelt(chance, words[at])
            words = words or [""]
        return " ".join(words)

    # -- what stands in files ----------------------------------------------------------

    def case_file(self, chance: Random) -> bytes:
        """The text of a case file, with lines or words harmed."""
        text = chance.choice(self.cases)[0].decode()
        lines = text.split("\n")
        for _ in range(chance.choice([1, 1, 2, 4])):
            at = chance.randrange(len(lines))
            match chance.randrange(6):
                case 0:
                    del lines[at]
                case 1:
                    lines.insert(at, lines[chance.randrange(len(lines))])
                case 2:
                    lines[at] = " " * chance.randrange(5) + lines[at].lstrip()
                case 3:
                    key, colon, _ = lines[at].partition(":")
                    lines[at] = f"{key}{colon} {_written(chance.choice(ODD_VALUES))}"
                case _:
                    lines[at] = self.harmed(chance, lines[at], 1)
            lines = lines or [""]
        return "\n".join(lines).encode("utf-8", "surrogatepass")

    def tree(self, chance: Random, whole: Any, times: int = 2) -> Any:
        """A copy of a tree of mappings, lists and values, harmed in some places."""
        whole = deepcopy(whole)
        for _ in range(times):
            whole = self._changed(chance, whole)
        return whole

    def _changed(self, chance: Random, value: Any) -> Any:
        if not isinstance(value, dict | list) or not value or chance.random() < 0.1:
            return deepcopy(chance.choice(ODD_VALUES))
        key = chance.choice(list(value) if isinstance(value, dict) else range(len(value)))
        match chance.randrange(8):
            case 0:
                del value[key]
            case 1 if isinstance(value, list):
                value.insert(key, deepcopy(value[chance.randrange(len(value))]))
            case 1:
                name = chance.choice(["text", "value", "odd", "facts", ""])
                value[name] = deepcopy(chance.choice(ODD_VALUES))
            case 2:
                value[key] = {"x": value[key]} if chance.random() < 0.5 else [value[key]]
            case _:
                value[key] = self._changed(chance, value[key])
        return value

    def recording(self, chance: Random) -> bytes:
        """A recording of two cranks with columns, marks or lines harmed."""
        mark, comma = chance.choice([(",", "."), (";", ","), ("\t", "."), (";", ".")])
        rate = chance.choice([10, 50, 200])
        rows = [mark.join(["time (s)", "U (V)", "I (A)"])]
        for i in range(rate * 8):
            at = i / rate
            turning = 2 <= at < 4 or 6 <= at < 7
            figures = (at, 9.8 + chance.gauss(0, 0.1) if turning else 12.6, 400.0 if turning else 0.0)
            rows.append(mark.join(f"{figure:.3f}".replace(".", comma) for figure in figures))
        for _ in range(chance.randint(0, 5)):
            if not rows:
                break
            at = chance.randrange(len(rows))
            match chance.randrange(6):
                case 0:
                    del rows[at : at + chance.choice([1, 1, 100])]
                case 1:
                    rows.insert(at, chance.choice(["", "#", mark * 300, "x" * 5000, rows[0], *ODD_WORDS]))
                case 2:
                    rows[at] = rows[at].replace("1", chance.choice(["", "-", "e", "9" * 50]))
                case 3:
                    rows[at:] = [row.rpartition(mark)[0] for row in rows[at:]]
                case 4:
                    rows[at:] = rows[: len(rows) - at]
                case _:
                    rows = rows[:at] or rows
        ending = chance.choice(["\n", "\r\n", "\r"])
        code = chance.choice(["utf-8", "utf-8", "utf-16", "latin-1"])
        return ending.join(rows).encode(code, "replace")

    # -- the command line --------------------------------------------------------------

    def arguments(self, chance: Random, files: list[str]) -> list[str]:
        """A command with options, names and files, some of them harmed."""
        slow = ("evaluate", "practice", "chart", "kb")  # they work for seconds whatever is given
        quick = [name for name in COMMANDS if name not in slow]
        given = [chance.choice(quick)]
        pool = [
            *files, "-", "--json", "--text", "--help", "--limit", "160", "--width", "40", "--out", "out.html",
            "--reading", self._name(chance), "--html", "--search", "loader", "--all", "--handover", "--whole",
            "--column", "2=battery crank", "--complaint", "slow", "--facts", "--number", "1", "--depth", "2",
            self.harmed(chance, chance.choice(self.cases)[1].complaint or "slow"), *ODD_WORDS,
        ]  # fmt: skip
        given += [chance.choice(files)] if chance.random() < 0.6 else []
        given += [chance.choice(pool) for _ in range(chance.randint(0, 4))]
        return [word.replace("\x00", "0").replace("\ud800", "") for word in given]  # as a system gives them


def _misspelt(chance: Random, word: str) -> str:
    at = chance.randrange(len(word) + 1)
    return word[:at] + chance.choice(KEYBOARD) + word[at + chance.choice([0, 1]) :]


def _written(value: Any) -> str:
    if isinstance(value, int) and not isinstance(value, bool):
        return f"1{'0' * 400}" if value > 10**300 else str(value)
    return json.dumps(value)[:200] if not isinstance(value, float) else str(value)
