"""Two copies of a case, worked on apart and merged: every entry of both survives."""

from __future__ import annotations

import uuid

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from crankpath.shell.store import KINDS, live_events, open_store

TIMES = st.datetimes().map(lambda t: t.isoformat() + "Z")  # clocks that are wrong and go back
ENTRY = st.tuples(st.sampled_from([k for k in KINDS if k not in ("opened", "taken_back")]), TIMES)
WORK = st.lists(st.one_of(ENTRY, st.tuples(st.just("taken_back"), TIMES)), max_size=5)
BODY = {
    "measurement": "m", "failures": 0, "of": 1, "repair": "r", "caution": "c", "to": "somebody",
    "label": "job", "file": "a.jpg", "size": 1, "digest": "d",
}  # fmt: skip
SLOWLY = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def work_on(store, case_id, entries):
    written = []
    for kind, at in entries:
        others = store.events(case_id)[1:]
        if kind == "taken_back":
            if others:
                body = {"event": others[len(others) // 2].id}
                written.append(store.append(case_id, kind, body, at=at))
        else:
            written.append(store.append(case_id, kind, {**BODY, "text": at, "name": at}, at=at))
    return [e.id for e in written]


@SLOWLY
@given(WORK, WORK, WORK, WORK, TIMES)
def test_merging_two_diverged_copies_keeps_every_entry_of_both_whatever_the_order(
    tmp_path, before, here, there, after, at
):
    folder = tmp_path / uuid.uuid4().hex
    ours, theirs, third = (open_store(folder / f"{n}.sqlite") for n in range(3))
    try:
        first = ours.create_case("x", at=at)
        case_id = first.case_id
        wanted = [first.id, *work_on(ours, case_id, before)]
        theirs.import_case(ours.export_case(case_id))
        chains = [
            [*wanted, *work_on(ours, case_id, here)],
            [*wanted, *work_on(theirs, case_id, there)],
        ]
        parts = ours.export_case(case_id), theirs.export_case(case_id)
        for data in (parts[1], parts[0], parts[1]):
            third.import_case(data)
        ours.import_case(parts[1])
        theirs.import_case(parts[0])
        chains.append(work_on(ours, case_id, after))
        theirs.import_case(ours.export_case(case_id))
        third.import_case(theirs.export_case(case_id))
        orders = [[e.id for e in store.events(case_id)] for store in (ours, theirs, third)]
        assert orders[0] == orders[1] == orders[2]
        assert set(orders[0]) == {i for chain in chains for i in chain}
        for chain in chains:  # nobody's entries change places
            assert [i for i in orders[0] if i in set(chain)] == chain
        merged = {event["id"] for event in parts[0]["events"]}
        assert all(orders[0].index(late) > orders[0].index(early) for late in chains[2] for early in merged)
        summaries = {store.case(case_id) for store in (ours, theirs, third)}
        assert len(summaries) == 1
        in_force = {
            tuple(e.id for e in live_events(store.events(case_id))) for store in (ours, theirs, third)
        }
        assert len(in_force) == 1
    finally:
        for store in (ours, theirs, third):
            store.close()
