"""What a list of cases shows of one case, folded from its events; pure functions."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field

from crankpath.shell.store.order import live_events, next_stamp
from crankpath.shell.store.records import CaseSummary, Event
from crankpath.shell.store.standing import begins_watch, ends_watch

_WIDEST = 200  # characters kept of a column; the whole text stays in the event
_LONGEST = 40  # letters of a word searched; an index has a limit of its own
_SEARCHED = 400  # different words kept of a case


def search_words(text: str) -> list[str]:
    """Return the words of a text as they are searched: small letters and digits, without accents."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(c for c in bare if not unicodedata.combining(c))
    return [word[:_LONGEST] for word in re.findall(r"[^\W_]+", bare)]


def column_text(value: object) -> str:
    """Return a value as one line that any database and terminal can take."""
    text = "" if value is None else str(value)
    text = "".join(c if unicodedata.category(c)[0] != "C" else " " for c in text)
    return " ".join(text.split())[:_WIDEST]


@dataclass(slots=True)
class _Fold:
    """What has been gathered so far."""

    name: str = ""
    machine: str = ""
    complaint: str = ""
    state: str = "open"
    proof_due: str = ""
    answer_due: str = ""
    asked_at: str = ""
    asked: frozenset[str] = frozenset()
    promises: dict[str, tuple[str, str]] = field(default_factory=dict)
    watch: str = ""
    holder: str = ""
    causes: tuple[str, ...] = ()
    texts: list[str] = field(default_factory=list)

    def take(self, event: Event) -> None:
        """Take in one event that is in force."""
        body = event.body
        if event.kind in ("opened", "renamed") and body.get("name"):
            self.name = column_text(body["name"])
        if event.kind in ("opened", "equipment") and body.get("machine"):
            self.machine = column_text(body["machine"])
        if event.kind == "complaint":
            self.complaint = column_text(body.get("text"))
        if event.kind in ("note", "promised") or (event.kind == "closed" and body.get("text")):
            self.texts.append(str(body.get("text")))
        self._take_state(event)

    def _take_state(self, event: Event) -> None:
        body = event.body
        if event.kind == "closed":
            self.state, self.causes = "closed", _causes(body.get("causes"))
        elif event.kind == "reopened":
            self.state, self.causes = "open", ()
        elif event.kind == "repaired":
            due = body.get("cured") is None
            self.proof_due = column_text(body.get("repair")) if due else ""
            self.state = "open" if body.get("cured") is False else "repaired"
        elif event.kind == "sent":
            self.answer_due, self.asked_at = column_text(body.get("waits_for") or "an answer"), event.at
            listed = body.get("measurements")
            self.asked = frozenset(map(str, listed)) if isinstance(listed, list) else frozenset()
        elif event.kind == "given":
            self.holder = column_text(body.get("to"))
        elif event.kind == "promised" and body.get("kept"):
            self.promises.pop(str(body["kept"]), None)
        elif event.kind == "promised":
            self.promises[event.id] = (column_text(body.get("due")), column_text(body.get("text")))
        if self.watch and ends_watch(event, self.watch):
            self.promises.pop(self.watch, None)
        self.watch = event.id if begins_watch(event) else self.watch
        if event.kind in ("reading", "cannot", "tries", "repaired"):
            self.asked -= {str(body.get("measurement"))}
            if not self.asked:
                self.answer_due = self.asked_at = ""

    def promised(self) -> tuple[str, str]:
        """Return when the first promise is due, and its text; of those without a time the last."""
        timed = sorted(one for one in self.promises.values() if one[0])
        return timed[0] if timed else ([("", ""), *self.promises.values()])[-1]

    def waits_for(self) -> str:
        """Return what the case waits for, the nearest first."""
        if self.state == "closed":
            return ""
        proof = f"proof of {self.proof_due}" if self.proof_due else ""
        return self.answer_due or proof or self.promised()[1]


def _causes(value: object) -> tuple[str, ...]:
    """Return fault ids, each once, from a list or nothing."""
    listed = value if isinstance(value, list) else []
    return tuple(dict.fromkeys(column_text(cause) for cause in listed if cause))


def summarise_case(case_id: str, events: Sequence[Event]) -> tuple[CaseSummary, str]:
    """Return the summary of a case and the words it is found by, separated by spaces.

    Args:
        case_id: the case; it names a case whose opening entry is lost.
        events: all of them, in order, at least one.
    """
    fold = _Fold()
    for event in live_events(events):
        fold.take(event)
    name = fold.name or f"case {case_id[:8]}"
    summary = CaseSummary(
        id=case_id,
        name=name,
        machine=fold.machine,
        complaint=fold.complaint,
        state=fold.state,
        opened_at=next_stamp(events[0].at, ""),
        updated_at=next_stamp(events[-1].at, ""),
        waits_for=fold.waits_for(),
        causes=fold.causes,
        entries=len(events),
        asked_at=fold.asked_at,
        promised=fold.promised()[1],
        due=fold.promised()[0],
        holder=fold.holder,
    )
    said = " ".join((name, fold.machine, fold.complaint, " ".join(fold.causes), *fold.texts))
    return summary, " ".join(list(dict.fromkeys(search_words(said)))[:_SEARCHED])
