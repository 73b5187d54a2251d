"""Every entry point, given real cases that were harmed: an answer or a sentence, in time and in memory."""

from __future__ import annotations

import io
import json
import os
import resource
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

import pytest
import yaml
from click.testing import CliRunner
from grammar import ODD_WORDS, Grammar

from crankpath.engine.cases.case import Case
from crankpath.engine.cases.casefile import read_case
from crankpath.engine.cases.replay import replay
from crankpath.engine.errors import CaseError, CrankpathError
from crankpath.engine.knowledge.loading import read_knowledge
from crankpath.engine.knowledge.records import Knowledge
from crankpath.shell import kb_folders
from crankpath.shell.desk.exported_case import whole_case
from crankpath.shell.main import cli
from crankpath.shell.reader.reader import default_facts, read_text
from crankpath.shell.recordings.opening import RecordingText
from crankpath.shell.recordings.reading import as_last_time, read_recording, told_of
from crankpath.shell.session.loop import Conversation
from crankpath.shell.session.open_case import OpenCase
from crankpath.shell.session.terminal import Piped
from crankpath.shell.store import StoreError, open_store
from crankpath.shell.store.event_bodies import flaw

if TYPE_CHECKING:
    from crankpath.shell.store import Store

SMALL = Path(__file__).parent.parent / "data" / "small" / "base.yaml"
AT = "2031-05-04T08:00:00Z"
FIRST = int(os.environ.get("CRANKPATH_FIRST", "0"))  # number of the first input: others to try than last time
SECONDS = 2.0  # of processor time an input may take
ROOM = 300e6  # bytes
TYPED = 20_000  # characters of a text that is told again and again
REFUSED = 2000  # characters of a sentence


@pytest.fixture(scope="module")
def grammar(kb: Knowledge) -> Grammar:
    return Grammar(kb)


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Store:
    for variable in ("XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "HOME", "TMPDIR"):
        monkeypatch.setenv(variable, str(tmp_path))
    monkeypatch.setenv("CRANKPATH_STORE", str(tmp_path / "cases.sqlite"))
    monkeypatch.chdir(tmp_path)
    return open_store(tmp_path / "cases.sqlite")


def each(tries: int, work: Callable[[Random], object]) -> None:
    """Do the work for every number; tell the numbers that fail, and those that take too long."""
    slips = []
    for number in range(FIRST, FIRST + tries):
        before = time.process_time()
        try:
            work(Random(number))
        except Exception as slip:  # noqa: BLE001  any of them is what is looked for
            slips.append(f"{number}: {type(slip).__name__}: {slip}"[:300])
        took = time.process_time() - before
        if took > SECONDS:
            slips.append(f"{number}: {took:.1f} s")
    assert not slips, "\n".join([f"{len(slips)} of {tries}", *slips[:10]])
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    if tries > 500:
        print(f"{work.__qualname__.split('.')[0]}: {tries} from {FIRST}, {most / 1e6:.0f} MB at most")  # noqa: T201
        assert most < ROOM


def sitting(kb: Knowledge, store: Store, width: int = 80) -> tuple[OpenCase, Conversation]:
    open_case = OpenCase(store, kb, lambda: AT)
    open_case.blank()
    return open_case, Conversation(open_case, Piped(io.StringIO(""), io.StringIO(), width), lambda _: None)


def test_lines_at_the_prompt(kb: Knowledge, grammar: Grammar, store: Store, tries: int) -> None:
    def work(chance: Random) -> None:
        open_case, talk = sitting(kb, store, chance.choice([40, 80, 120]))
        for line in grammar.lines(chance):
            if not talk.take(line):
                break
        state = open_case.state
        assert state is not None
        if state.id:
            assert store.events(state.id) == state.events or len(store.events(state.id)) >= len(state.events)
            assert [flaw(e.kind, e.body) for e in state.events if flaw(e.kind, e.body)] == []

    each(max(tries // 8, 3), work)  # a sitting has eight lines or so


def test_texts_of_replies(kb: Knowledge, grammar: Grammar, store: Store, tries: int) -> None:
    facts = default_facts(kb)

    def work(chance: Random) -> None:
        text = grammar.reply(chance)
        found = read_text(text, kb, facts, chance.choice([None, *kb.measurements]))
        assert all(proposal.measurement in kb.measurements for proposal in found.taken)
        if chance.random() < 0.05:
            _, talk = sitting(kb, store)
            for line in ("slow", "slow", "every time", "l: 12 V", "", f"{text}\n.", "", "y"):
                talk.take(line)

    each(tries, work)


@pytest.mark.parametrize(
    "piece",
    ["0.35 V ", "positive leg drop ", "a", "(", "0.1-", "1", "pos 1;neg 2;", "1/", "not ", "3 of 10 ",
     "pos leg 0.35 V and neg leg 12,5 but not when it failed yesterday ", "a\u0301", "0.35. ",
     "postive legg dorp 0.3, "],
)  # fmt: skip
def test_a_text_that_repeats_itself_is_read_soon(kb: Knowledge, piece: str) -> None:
    text = (piece * TYPED)[:TYPED]
    facts, took = default_facts(kb), []
    for asked in (None, "positive_leg_drop") * 8:  # the least: a busy machine slows some of them down
        before = time.process_time()
        read_text(text, kb, facts, asked)
        took.append(time.process_time() - before)
        if took[-1] < 0.5:
            break
    assert min(took) < 0.5, took


def test_case_files(kb: Knowledge, grammar: Grammar, tries: int) -> None:
    def work(chance: Random) -> None:
        written, problems = read_case(grammar.case_file(chance), "a.yaml")
        replayed = replay(kb, written) if written is not None else None
        found = problems if replayed is None else replayed.problems
        assert all(problem.origin.line >= 1 and 0 < len(str(problem)) < REFUSED for problem in found)
        if replayed is not None and replayed.case is not None and chance.random() < 0.05:
            replayed.case.verdict()

    each(tries, work)


def test_folders_of_knowledge(grammar: Grammar, tries: int, tmp_path: Path) -> None:
    whole = yaml.safe_load(SMALL.read_text("utf-8"))

    def work(chance: Random) -> None:
        text = yaml.safe_dump(grammar.tree(chance, whole, chance.randint(1, 3)), allow_unicode=True)
        (tmp_path / "base.yaml").write_text(text, "utf-8", errors="replace")
        kb, problems = read_knowledge(tmp_path, shipped=False)
        assert (kb is None) == bool(problems)
        if kb is not None:
            case = Case(kb)
            for measurement in list(case.assessment.model.measurements.values())[:2]:
                try:
                    case.record(measurement.id, "1" if measurement.numeric else measurement.bands[-1])
                except CaseError:
                    continue
            case.verdict()

    each(max(tries // 4, 5), lambda chance: _or_refused(lambda: work(chance)))


def _or_refused(work: Callable[[], object]) -> None:
    try:
        work()
    except CrankpathError as slip:
        assert 0 < len(str(slip)) < REFUSED  # noqa: PT017


def test_whole_cases_from_elsewhere(kb: Knowledge, grammar: Grammar, store: Store, tries: int) -> None:
    open_case, talk = sitting(kb, store)
    for line in ("slow", "slow", "sometimes", "loader: 12 V", "", "12.4", "pos leg 0.9 failed"):
        talk.take(line)
    assert open_case.state is not None
    exported = store.export_case(open_case.state.id)

    def work(chance: Random) -> None:
        harmed = grammar.tree(chance, exported, chance.randint(1, 3))
        data = {**harmed, "case": f"{chance.getrandbits(128):032x}"} if isinstance(harmed, dict) else harmed
        try:
            found = whole_case(json.dumps(data).encode())
            other, there = sitting(kb, store)
            report = other.take_in(found)
        except (StoreError, ValueError) as slip:  # a tree may hold what JSON cannot
            assert len(str(slip)) < REFUSED  # noqa: PT017
            return
        assert OpenCase(store, kb, lambda: AT).open(report.case_id).events
        there.take("")
        there.take("list")

    each(max(tries // 4, 5), work)


def test_recordings(kb: Knowledge, grammar: Grammar, tries: int, tmp_path: Path) -> None:
    case = Case(kb, {"system_voltage": 12})
    file = tmp_path / "start.csv"

    def work(chance: Random) -> None:
        file.write_bytes(grammar.recording(chance))
        text = RecordingText(file)
        told = told_of(("2=battery crank", "3=amps", chance.choice(["", "1=time", *ODD_WORDS])))
        found = read_recording(text, as_last_time(text.layout, told), case, case.equipment)
        list(found.lines(80))

    each(max(tries // 8, 5), lambda chance: _or_refused(lambda: work(chance)))


def test_words_of_the_command_line(
    kb: Knowledge, grammar: Grammar, store: Store, tries: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kb_folders.Folders, "load", lambda _: kb)  # loading is another test's matter
    Path("loader.yaml").write_bytes(grammar.cases[0][0])
    Path("start.csv").write_bytes(grammar.recording(Random(1)))
    store.create_case("loader 7", at=AT)

    def work(chance: Random) -> None:
        done = CliRunner().invoke(cli, grammar.arguments(chance, ["loader.yaml", "start.csv", "loader", "1"]))
        refused = isinstance(done.exception, CrankpathError)
        assert refused or done.exit_code in (0, 1, 2), done.output[-200:]
        if done.exception is not None and not refused and not isinstance(done.exception, SystemExit):
            raise done.exception

    each(max(tries // 4, 5), work)


def test_messages_that_go_out(kb: Knowledge, grammar: Grammar, store: Store, tries: int) -> None:
    def work(chance: Random) -> None:
        open_case, talk = sitting(kb, store)
        for line in grammar.lines(chance):
            talk.take(line)
        for line in ("send", f"send {grammar.harmed(chance, 'positive leg')}", "send whole", "handover"):
            talk.take(line)
        assert open_case.state is not None
        sent = [str(event.body.get("text")) for event in open_case.state.events if event.kind == "sent"]
        assert all("\x1b" not in text for text in sent)

    each(max(tries // 16, 3), work)
