"""Strict YAML: text in, plain data with the line and column of every key and value out.

A small, safe part of YAML is read: mappings, lists and scalars. Only ``true`` and
``false`` are truth values, only decimal numbers are numbers, ``null`` or nothing is
nothing, every key is text; ``yes``, ``on``, ``1:30`` and ``012`` stay the text they are.
Tags, anchors, aliases, merge keys and repeated keys are refused, and so is a text too
large, too deep or too long to come from a person. No object is ever built from a tag.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

import yaml
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from crankpath.engine.knowledge.documents import Document, Place
from crankpath.engine.knowledge.entries.values import Origin
from crankpath.engine.knowledge.problems import Problem, quoted
from crankpath.engine.knowledge.slips.text import CURLY, slip_in_text

LARGEST: Final = 2_000_000
"""Bytes that one file may have."""
DEEPEST: Final = 40
"""Mappings and lists that may stand inside each other."""
MOST_VALUES: Final = 60_000
"""Keys and values that one file may have; time and memory grow with them, not with bytes."""

# libyaml's parser if PyYAML was built with it (about eight times faster), else the pure one.
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_INTEGER: Final = re.compile(r"[-+]?(?:0|[1-9][0-9]*)\Z")
_FLOAT: Final = re.compile(r"[-+]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?\Z")
_UNPRINTABLE: Final = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]"
)
_PLAIN_WORDS: Final[Mapping[str, bool | None]] = {"true": True, "false": False, "null": None, "": None}
_MAY_BE_NUMBER: Final = frozenset("-+0123456789")
_CLEARER: Final = (
    ("unexpected end of stream", "a quote or bracket that opens here is not closed", "Close it"),
    ("cannot start any token", "a tab, or a sign such as @ or %, stands where a value should begin",
     "Indent with spaces and put the text in quotes"),
    ("mapping values are not allowed", "a colon stands where no new key can begin",
     "Put the text in quotes, or check the indentation"),
    ("did not find expected key", "the lines above do not fit together",
     "Check the indentation, and quotes or brackets that are not closed"),
    ("maximum nesting depth", f"more than {DEEPEST} levels inside each other are not read", "Flatten it"),
    ("did not find expected ',' or", "something else stands where a comma or a closing bracket belongs",
     "Put a comma between two values, and close every bracket"),
    ("could not find expected ':'", "a key has no colon", "Write it as 'key: value'"),
)  # fmt: skip


def read_yaml(text: str | bytes, file: str) -> Document:
    """Read one YAML text; never raises: what is wrong is in `Document.problems`.

    Args:
        text: at most `LARGEST` bytes of UTF-8, or text.
        file: the name to say in problems.
    """
    decoded = ""
    reader = _Reader(file)
    data, place = None, Place(1, 1, None)
    try:
        decoded = _decoded(text)
        data, place = reader.read(decoded)
    except _Refused as refused:
        reader.problems.append(
            Problem(Origin(file, refused.line, refused.column), refused.message, refused.advice)
        )
    except yaml.MarkedYAMLError as slip:
        reader.problems, reader.doubts = [_yaml_problem(slip, file, decoded)], []
    except (yaml.YAMLError, UnicodeError, ValueError, RecursionError):
        reader.problems.append(Problem(Origin(file, 1, 1), "this is not readable as YAML", "Check the file"))
    return Document(file, data, place, tuple(reader.problems), tuple(reader.doubts))


class _Refused(Exception):
    def __init__(self, line: int, column: int, message: str, advice: str = "") -> None:
        super().__init__(message)
        self.line, self.column, self.message, self.advice = line, column, message, advice


def _decoded(text: str | bytes) -> str:
    if len(text) > LARGEST:
        raise _Refused(1, 1, too_large(len(text)), "Split the file, or check that it is the right one")
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8")
        except UnicodeDecodeError as slip:
            line = slip.object.count(b"\n", 0, slip.start) + 1
            raise _Refused(line, 1, "this is not a UTF-8 text file", "Save it as UTF-8 text") from slip
    text = text.removeprefix("\ufeff")
    odd = _UNPRINTABLE.search(text)
    if odd:
        line = text.count("\n", 0, odd.start()) + 1
        column = odd.start() - text.rfind("\n", 0, odd.start())
        code = f"U+{ord(odd.group()):04X}"
        raise _Refused(
            line, column, f"this is no text file: it holds the control character {code}", "Remove it"
        )
    return text


def too_large(size: int) -> str:
    """The sentence for a file over the limit."""
    return f"the file has {size / 1e6:.1f} MB; more than {LARGEST / 1e6:.0f} MB is not read"


def _yaml_problem(slip: yaml.MarkedYAMLError, file: str, text: str) -> Problem:
    mark = slip.problem_mark or slip.context_mark
    found = slip_in_text(text, mark.line + 1 if mark else 1)
    if found is not None:
        return Problem(Origin(file, found.line, found.column), found.message, found.advice)
    if slip.context_mark and "quoted scalar" in (slip.context or ""):
        mark = slip.context_mark  # a quote that is not closed: where it opens, not where the file ends
    origin = Origin(file, mark.line + 1, mark.column + 1) if mark else Origin(file, 1, 1)
    said = slip.problem or "it breaks off"
    for part, message, advice in _CLEARER:
        if part in said:
            return Problem(origin, message, advice)
    return Problem(
        origin, f"this is not readable as YAML: {said}", "Check indentation, quotes and brackets just above"
    )


def _events(text: str) -> Iterator[Event]:
    """What `yaml.parse` yields, with one call an event instead of two."""
    loader = _LOADER(text)
    next_event: Callable[[], Event] = loader.get_event
    try:
        while type(event := next_event()) is not StreamEndEvent:
            yield event
    finally:
        loader.dispose()


class _Frame:
    """A mapping or list that is being read."""

    __slots__ = ("column", "data", "key", "key_at", "line", "places")

    def __init__(self, data: Any, places: Any, line: int, column: int) -> None:
        self.data, self.places, self.line, self.column = data, places, line, column
        self.key: str | None = None
        self.key_at = (line, column)


class _Reader:
    """Builds data and places from parser events with a stack of its own, not by recursion."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.doubts: list[Problem] = []
        self._commented: dict[int, str] = {}  # line from 0 -> a line that may hold a comment
        self._stack: list[_Frame] = []
        self._result: tuple[Any, Place] = (None, Place(1, 1, None))

    def read(self, text: str) -> tuple[Any, Place]:
        documents = values = 0
        if " #" in text:
            self._commented = {n: line for n, line in enumerate(text.split("\n")) if " #" in line}
        for event in _events(text):
            kind = type(event)
            if kind is ScalarEvent:
                values += 1
                self._scalar(event)  # type: ignore[arg-type]
            elif kind is MappingStartEvent or kind is SequenceStartEvent:
                values += 1
                self._open(event)  # type: ignore[arg-type]
            elif kind is MappingEndEvent or kind is SequenceEndEvent:
                self._close()
            elif kind is AliasEvent:
                self._refuse_extras(event)  # type: ignore[arg-type]
            elif kind is DocumentStartEvent:
                documents += 1
                if documents > 1:
                    raise _Refused(
                        *_at(event), "a second YAML document begins here", "Take the '---' out"
                    )
            if values > MOST_VALUES:
                raise _Refused(
                    *_at(event), f"the file has more than {MOST_VALUES} keys and values", "Split the file"
                )
        return self._result

    def _scalar(self, event: ScalarEvent) -> None:
        if event.tag is not None or event.anchor is not None:
            self._refuse_extras(event)
        line, column = _at(event)
        frame = self._stack[-1] if self._stack else None
        if frame is not None and frame.key is None and type(frame.data) is dict:
            self._key(frame, event.value, line, column)
            return
        value = self._plain(event.value, line, column) if event.implicit[0] else event.value
        if event.implicit[0] and type(value) is str:
            self._doubt(event, line, column)
        self._put(value, Place(line, column, None))

    def _doubt(self, event: ScalarEvent, line: int, column: int) -> None:
        """Note a text without quotes that was not read as it was meant."""
        end: Any = event.end_mark
        rest = self._commented.get(end.line, "")[end.column :].strip()
        if rest.startswith("#") and (" " in event.value or rest[1:2].strip()):
            self._doubtful(line, column, f"the text ends before the sign #: {quoted(rest, 30)} is taken "
                                         "as a comment",
                           "Put the whole text in quotes")  # fmt: skip
        if event.value[0] in CURLY:
            self._doubtful(line, column, f"the typographic quote {event.value[0]} became part of the text",
                           'Put the text in plain quotes: "..."')  # fmt: skip

    def _doubtful(self, line: int, column: int, message: str, advice: str) -> None:
        self.doubts.append(Problem(Origin(self.file, line, column), message, advice))

    def _key(self, frame: _Frame, key: str, line: int, column: int) -> None:
        if key == "<<":
            raise _Refused(line, column, "merge keys (<<) are not read here", "Write the lines out")
        if key in frame.data:
            first = frame.places[key][0]
            empty = [(at[0], at[1], name) for name, at in frame.places.items() if frame.data[name] is None]
            if later := [place for place in empty if place[0] > first]:
                line, column, name = later[0]
                message = (
                    f"the indentation is off: nothing stands below {quoted(name)}, and its fields "
                    "beside it"
                )
                self._problem(line, column, message, f"Indent it by {max(frame.column - 3, 0)} spaces, "
                                                     "as the entry above")
            else:
                message = f"{quoted(key)} stands twice here, first in line {first}"
                self._problem(line, column, message, "Keep one of them")
        frame.key, frame.key_at = key, (line, column)

    def _plain(self, text: str, line: int, column: int) -> Any:
        if text in _PLAIN_WORDS:
            return _PLAIN_WORDS[text]
        if text[0] not in _MAY_BE_NUMBER or not _FLOAT.match(text):
            return text
        if len(text) > 40 or not math.isfinite(float(text)):
            self._problem(
                line, column, f"{quoted(text)} is too long a number", "Put it in quotes if it is text"
            )
            return 0
        return int(text) if _INTEGER.match(text) else float(text)

    def _open(self, event: NodeEvent) -> None:
        line, column = _at(event)
        self._refuse_extras(event)
        frame = self._stack[-1] if self._stack else None
        if frame is not None and frame.key is None and type(frame.data) is dict:
            raise _Refused(line, column, "a key must be plain text", "Write it as 'key: value'")
        if len(self._stack) >= DEEPEST:
            raise _Refused(line, column, f"more than {DEEPEST} levels inside each other are not read")
        is_mapping = type(event) is MappingStartEvent
        self._stack.append(_Frame({}, {}, line, column) if is_mapping else _Frame([], [], line, column))

    def _close(self) -> None:
        frame = self._stack.pop()
        self._put(frame.data, Place(frame.line, frame.column, frame.places))

    def _put(self, value: Any, place: Place) -> None:
        if not self._stack:
            self._result = (value, place)
            return
        frame = self._stack[-1]
        if type(frame.data) is list:
            frame.data.append(value)
            frame.places.append(place)
        elif frame.key is not None:
            frame.data[frame.key] = value
            frame.places[frame.key] = (*frame.key_at, place)
            frame.key = None

    def _refuse_extras(self, event: NodeEvent) -> None:
        tag = getattr(event, "tag", None)
        if tag is not None:
            raise _Refused(
                *_at(event), f"tags such as {quoted(tag)} are not read here", "Write plain text or numbers"
            )
        if event.anchor is not None:
            raise _Refused(
                *_at(event), "anchors (&) and aliases (*) are not read here", "Write the lines out"
            )

    def _problem(self, line: int, column: int, message: str, advice: str) -> None:
        problem = Problem(Origin(self.file, line, column), message, advice)
        if problem not in self.problems[-1:]:
            self.problems.append(problem)


def _at(event: Event) -> tuple[int, int]:
    mark: Any = event.start_mark  # every event of a parser has one
    return mark.line + 1, mark.column + 1
