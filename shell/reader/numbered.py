"""Replies to a message with several questions: each answer found by the number of its question."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Final, TypeVar

from crankpath.engine.knowledge.condition import Facts
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell.reader.pieces.tokens import LONGEST
from crankpath.shell.reader.proposals import Doubt, Proposal, Understanding
from crankpath.shell.reader.reader import read_text

_Read = TypeVar("_Read", Proposal, Doubt)
_MARK: Final = re.compile(r"(?:^|[\n,;])\s*#?(\d)(?:\s*[):=]\s*|[.-]\s+|\s+(?!of\b))|(?<!\S)#?(\d)[).:]\s+")
_LONE: Final = re.compile(r"(?<!\S)(\d)(?=\s)")
_PIECE: Final = re.compile(r"(?:[^,;\n]|,(?=\d))+")
_SENTENCE: Final = re.compile(r"\n|[.!;]\s")


def answers_in(text: str, questions: int) -> dict[int, tuple[int, str]]:
    """Number of a question -> where its answer stands and the answer; empty if the text is not numbered so.

    >>> answers_in("1 12.6, 2 no, 3 b", 3)
    {1: (2, '12.6'), 2: (10, 'no'), 3: (16, 'b')}
    >>> answers_in("12.6 V", 2)
    {}
    """
    marks = [(int(m[1] or m[2]), m.start(), m.end()) for m in _MARK.finditer(text)]
    found = _rising(marks, questions)
    if not found or found[0][1] != len(text) - len(text.lstrip(" \n,;")):
        return {}
    if len(found) == 1:  # "1 12.6 2 no" without a comma
        alone = [(int(m[1]), m.start(), m.end()) for m in _LONE.finditer(text) if m.start() >= found[0][2]]
        once = [mark for mark in alone if [m[0] for m in alone].count(mark[0]) == 1]
        found = _rising([*found, *once], questions)
    ends = [*(start for _, start, _ in found[1:]), len(text)]
    pieces = {n: (first, text[first:end]) for (n, _, first), end in zip(found, ends, strict=True)}
    return {n: (first + len(p) - len(p.lstrip()), p.strip(" ,;\n")) for n, (first, p) in pieces.items()}


def _rising(marks: Sequence[tuple[int, int, int]], questions: int) -> list[tuple[int, int, int]]:
    """Those marks that count up."""
    found: list[tuple[int, int, int]] = []
    for mark in marks:
        if (found[-1][0] if found else 0) < mark[0] <= questions and (not found or mark[1] >= found[-1][2]):
            found.append(mark)
    return found


def read_answers(
    text: str, knowledge: Knowledge, facts: Facts | None, questions: Sequence[str],
    decimal_comma: bool | None = None,
) -> Understanding:  # fmt: skip
    """The readings and doubts found in a reply to several questions.

    Args:
        text: the reply, without its reference.
        knowledge, facts, decimal_comma: as for `read_text`.
        questions: the measurements that were asked for, in the order of their numbers. A reply that numbers
            nothing is read as one to the first of them.
    """
    numbered = answers_in(text[:LONGEST], len(questions)) if len(questions) > 1 else {}
    if not numbered and len(questions) > 1:
        numbered = _in_order(text[:LONGEST], knowledge, facts, questions, decimal_comma)
    if not numbered:
        return read_text(text, knowledge, facts, questions[0] if questions else None, decimal_comma)
    found = [
        _moved(_answer(said, knowledge, facts, questions[number - 1], decimal_comma), at)
        for number, (at, said) in numbered.items()
    ]
    symptom = _said_of_all(found[-1], numbered[max(numbered)][1], knowledge, facts, decimal_comma)
    return Understanding(
        tuple(_with(p, symptom) for one in found for p in one.taken),
        tuple(_with(d, symptom) for one in found for d in one.asked),
        tuple(cannot for one in found for cannot in one.cannot),
        tuple(note for one in found for note in one.notes),
        tuple(talk for one in found for talk in one.talk),
        max(len(text) - LONGEST, 0),
    )


def _in_order(
    text: str, knowledge: Knowledge, facts: Facts | None, questions: Sequence[str], comma: bool | None
) -> dict[int, tuple[int, str]]:
    """Answers in a row without their numbers: as many as questions, each nothing but its answer."""
    pieces = [(m.start(), m[0].strip()) for m in _PIECE.finditer(text) if m[0].strip()]
    if len(pieces) != len(questions):
        return {}
    for (_, said), asked in zip(pieces, questions, strict=True):
        found = _answer(said, knowledge, facts, asked, comma)
        if [p.measurement for p in found.taken] != [asked] or found.asked or found.notes or found.talk:
            return {}
    return dict(enumerate(pieces, 1))


def _answer(
    said: str, knowledge: Knowledge, facts: Facts | None, asked: str, comma: bool | None
) -> Understanding:
    """What is said to one question; a letter that begins no value is the place of one."""
    m = knowledge.measurements[asked]
    letter = said.strip(" .)").lower()
    place = ord(letter) - ord("a") if len(letter) == 1 and letter.isascii() and letter.isalpha() else -1
    begun = any(name.lower().startswith(letter) for v in m.choices for name in (v, m.band_labels.get(v, v)))
    if 0 <= place < len(m.choices) and not begun:
        said = m.choices[place]
    return read_text(said, knowledge, facts, asked, comma)


def _said_of_all(
    last: Understanding, said: str, knowledge: Knowledge, facts: Facts | None, comma: bool | None
) -> bool | None:
    """Whether the fault was there, where a sentence after the last answer tells it."""
    parts = _SENTENCE.split(said, maxsplit=1)
    whole = {p.symptom for p in last.taken}
    if len(parts) < 2 or len(whole) != 1 or not last.taken:
        return None
    alone = read_text(parts[0], knowledge, facts, last.taken[0].measurement, comma)
    return next(iter(whole)) if {p.symptom for p in alone.taken} == {None} else None


def _with(read: _Read, symptom: bool | None) -> _Read:
    return replace(read, symptom=symptom) if read.symptom is None else read


def _moved(found: Understanding, by: int) -> Understanding:
    """The same, its places counted from the beginning of the whole reply."""
    return replace(
        found,
        taken=tuple(replace(p, at=p.at + by) for p in found.taken),
        asked=tuple(replace(d, at=d.at + by) for d in found.asked),
        notes=tuple(replace(n, at=n.at + by) for n in found.notes),
    )
