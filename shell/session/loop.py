"""The conversation: a function of the open case, the terminal and what was typed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from crankpath.engine.inference.entries import Entry
from crankpath.engine.knowledge.records import HISTORY_KIND, SYMPTOM_KIND
from crankpath.shell.desk.merging import merged
from crankpath.shell.session import questions as q
from crankpath.shell.session.input.understanding import understand_line
from crankpath.shell.session.input.vocabulary import vocabulary
from crankpath.shell.session.open_case import OpenCase
from crankpath.shell.session.outcome import Dialogue, Outcome, Pending, Scene, Write
from crankpath.shell.session.replying import pasted
from crankpath.shell.session.screens.asking import parts
from crankpath.shell.session.screens.fitting import ScreenPart, always, fitted
from crankpath.shell.session.screens.listing import event_words
from crankpath.shell.session.screens.ranking import bars, changed
from crankpath.shell.session.screens.wording import wrapped_lines
from crankpath.shell.session.state import CaseState
from crankpath.shell.session.terminal import Terminal
from crankpath.shell.store.errors import StoreError
from crankpath.shell.text.clean import one_line
from crankpath.shell.text.columns import clipped, wrapped

Remember = Callable[[CaseState], None]
"""Notes which case is open, for the next start."""

_PROMPTS: dict[type, str] = {
    q.AskComplaint: "operator says", q.AskMachine: "machine", q.AskWhen: "when",
    q.AskFailing: "failing? y/n", q.AskSafe: "ready", q.AskCautions: "ready", q.AskRepair: "repair",
    q.AskCured: "cured? y/n", q.AskCranks: "tries", q.AskStop: "stop", q.AskStuck: "next",
    q.AskClose: "close", q.Finished: "case",
}  # fmt: skip


def prompt(state: CaseState, asked: q.Question) -> str:
    """What stands before the cursor: the question in a word or two."""
    if isinstance(asked, q.AskReading):
        return f"{state.kb.measurements[asked.measurement].short}> "
    return f"{_PROMPTS[type(asked)]}> "


def of_case(state: CaseState, width: int) -> str:
    """In front of a prompt: the machine, or else the case."""
    said = clipped(one_line(state.machine or state.name, 80), max(width // 4, 6))
    return f"[{said}] " if said else ""


class Conversation:
    """One sitting over cases.

    Attributes:
        asked: the question that is shown now.
    """

    def __init__(
        self, open_case: OpenCase, terminal: Terminal, remember: Remember, listed: tuple[str, ...] = ()
    ) -> None:
        """Take the open case; `listed` are the ids of cases whose list is on the screen."""
        self._case, self._terminal, self._remember, self._listed = open_case, terminal, remember, listed
        self._chosen: str | None = None
        self._pending: Pending | Dialogue | None = None
        self.asked: q.Question = q.question(self._state)

    @property
    def _state(self) -> CaseState:
        state = self._case.state
        assert state is not None
        return state

    def run(self) -> None:
        """Ask and answer until the person leaves."""
        while True:
            line = self._terminal.read(self._prompt(), lambda: vocabulary(self._state, self.asked))
            if line is None or not self.take(line):
                return

    def _prompt(self) -> str:
        return of_case(self._state, self._terminal.size()[0]) + self._asks()

    def _asks(self) -> str:
        if self._pending is None:
            return prompt(self._state, self.asked)
        if not isinstance(self._pending, Pending):
            return f"{self._pending.prompt}> "
        return "y/n> " if len(self._pending.options) == 1 else "which> "

    def show_question(self, above: Sequence[ScreenPart] = ()) -> None:
        """Ask what is to be asked now, below some news; together they fit the terminal."""
        width, rows = self._terminal.size()
        self.asked = q.question(self._state, self._chosen, _cautions_at_once(width, rows))
        self._terminal.show(fitted([*above, *parts(self._state, self.asked, width)], rows - 2 if rows else 0))

    def take(self, line: str) -> bool:
        """Take one line; False when the person leaves. What it wrote is on disk when this returns."""
        self._tell_others()
        width, _ = self._terminal.size()
        scene = Scene(self._state, self.asked, width, self._case.store, self._case.clock, self._listed)
        try:
            outcome = _understood(scene, line, self._pending)
            self._pending = outcome.pending
            self._listed = outcome.listed or self._listed
            if outcome.leave:
                return False
            self._carry_out(outcome)
        except StoreError as trouble:
            self._terminal.show(wrapped(str(trouble), width, "! ", "  "))
        return True

    def _carry_out(self, outcome: Outcome) -> None:
        before = self._state
        width, _ = self._terminal.size()
        above = [always(wrapped_lines(outcome.lines, width))]
        if outcome.new or outcome.go is not None or outcome.whole is not None:
            self._chosen = None
            self._change_case(outcome)
        else:
            self._write(outcome.writes)
            self._chosen = _still_chosen(self._chosen, outcome)
            above += self._news(before, width)
        if isinstance(outcome.pending, Pending):
            above.append(always(_asked_back(outcome.pending, self._state, width)))
        above.append(always(wrapped_lines([f"! {text}" for text in self._case.said], width)))
        self._case.said.clear()
        if outcome.again:
            self.show_question([ScreenPart(("",), 20), *above])
        else:
            self._terminal.show(fitted(above, 0))

    def _change_case(self, outcome: Outcome) -> None:
        if outcome.whole is not None:
            report = self._case.take_in(outcome.whole)
            self._case.said += merged(self._case.kb, report, self._case.store.events(report.case_id))
        elif outcome.go is not None:
            self._case.open(outcome.go)
        elif outcome.writes:
            self._case.begin(str(outcome.writes[0].body.get("name") or "case"), outcome.writes[1:])
        else:
            self._case.blank()
        self._remember(self._state)

    def _write(self, writes: Sequence[Write]) -> None:
        if not writes:
            return
        fresh = not self._state.id
        if fresh:
            self._case.begin(_name(writes), writes)
        else:
            self._case.write(writes)
        if fresh or any(write.kind in ("closed", "taken_back", "equipment") for write in writes):
            self._remember(self._state)

    def _news(self, before: CaseState, width: int) -> list[ScreenPart]:
        """What the new entries changed, and the ranking once the case is taken."""
        state = self._state
        trouble = [always(wrapped(f"Not used: {e.trouble}", width, "! ", "  "))
                   for e in state.entered if e.trouble and e not in before.entered]  # fmt: skip
        if state.case.entries == before.case.entries or self._opening():
            return trouble
        ranking = tuple(bars(state.case, width))
        return [
            *changed(before.case, state.case, _new_entries(before, state), width),
            ScreenPart(ranking, 85, ranking[:2]),
            *trouble,
        ]

    def _opening(self) -> bool:
        asked = q.question(self._state)
        if isinstance(asked, q.AskReading):
            return bool(
                {SYMPTOM_KIND, HISTORY_KIND} & set(self._state.kb.measurements[asked.measurement].kinds)
            )
        return isinstance(asked, q.AskComplaint | q.AskMachine | q.AskWhen | q.Finished | q.AskClose)

    def _tell_others(self) -> None:
        for event in self._case.others():
            if event.kind not in ("caution_shown", "opened"):
                width, _ = self._terminal.size()
                said = (
                    "took an entry back" if event.kind == "taken_back" else event_words(self._case.kb, event)
                )
                self._terminal.show(wrapped(f"Another shell: {said}", width, "-- ", "   "))


def _understood(scene: Scene, line: str, pending: Pending | Dialogue | None) -> Outcome:
    """What a line leads to; several lines pasted at once are a reply."""
    if pending is not None and not isinstance(pending, Pending):
        return pending.take(scene, line)
    if "\n" in line.strip():
        return pasted(scene, line)
    return understand_line(scene, line, pending)


def _cautions_at_once(width: int, rows: int) -> int:
    """Cautions take a line each, two on a narrow terminal; the rest of the question takes ten."""
    return max((rows - 10) // (2 if width < 60 else 1), 3) if rows else 0


def _new_entries(before: CaseState, after: CaseState) -> tuple[Entry, ...]:
    """Entries added at the end; none where something earlier changed."""
    old, new = before.case.entries, after.case.entries
    return new[len(old) :] if new[: len(old)] == old else ()


def _still_chosen(chosen: str | None, outcome: Outcome) -> str | None:
    if outcome.choose is not None:
        return outcome.choose
    beside = ("caution_shown", "note", "sent", "promised", "given", "attached", "papers")
    return None if any(write.kind not in beside for write in outcome.writes) else chosen


def _asked_back(pending: Pending, state: CaseState, width: int) -> list[str]:
    lines = wrapped(pending.message, width, "? ", "  ")
    if state.machine:
        lines += wrapped(f"For {one_line(state.machine, 40)}, {one_line(state.name, 40)}:", width, "   ")
    if len(pending.options) == 1:
        return lines + wrapped(f"y takes {pending.options[0].says}; or type it again.", width, "   ")
    for n, option in enumerate(pending.options, 1):
        lines += wrapped(option.says, width, f"   {n} ")
    return lines


def _name(writes: Sequence[Write]) -> str:
    """What a case is called: the operator's words."""
    told = next((str(w.body.get("text") or "") for w in writes if w.kind == "complaint"), "")
    return one_line(told, 60) or "complaint not known"
