"""A loop with four joints, one of them bad: the two best single readings tell the same twice.

Each way, to the starter and back, halves the chances best by itself. But what is not lost on one way is
lost on the other, so the second only confirms the first. A reading from the middle of one way to the middle
of the other halves them worse; beside a way it names the joint. An independent library works it out below.
"""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path
from typing import Any, Final

import pytest

from crankpath.engine import Case
from crankpath.engine.bayes.tables import MeterTable
from crankpath.engine.knowledge.loading import load_knowledge

gum: Any = pytest.importorskip("pyagrum", reason="pyagrum comes with the extra 'test'")

SMALL: Final = Path(__file__).parents[3] / "data" / "small"
SHARES: Final = {"post": 0.30, "lug": 0.22, "strap": 0.20, "mount": 0.28}
SEES: Final = {"way_there": ("post", "lug"), "way_back": ("strap", "mount"), "middle": ("lug", "strap")}


def added() -> dict[str, Any]:
    """The four joints, the three readings and what they read, as entries of a knowledge base."""
    reading = {
        "asks": "What is lost?", "group": "cranking", "unit": "V", "bands": ["low", "high"],
        "limits": [{"at": [0.4], "source": ["shop"], "because": "half a volt"}],
        "combination": "adds", "healthy": {"between": [0.05, 0.2]}, "least": 0, "most": 16,
        "error": {"relative": 0.05, "absolute": 0.01}, "state": "cranking", "setups": ["clips"],
        "minutes": 2, "leads": "Both clips on.", "source": ["shop"], "kinds": ["clipped_drop"],
    }  # fmt: skip
    return {
        "retire": {"faults": ["hot_cable", "ground"], "repairs": ["replace_hot_cable", "replace_ground"]},
        "settings": {"largest_set": {"value": 1, "about": "one joint is bad, never two"}},
        "setups": {"clips": {"label": "leads clipped on", "minutes": 1, "stays_on": True}},
        "measurements": {name: {**reading, "label": name, "short": name} for name in SEES},
        "faults": {
            name: {"label": name, "group": "joints", "kinds": ["main_resistance"], "places": ["ground"],
                   "share": share, "away": "seldom", "repair": f"mend_{name}"}
            for name, share in SHARES.items()
        },
        "repairs": {f"mend_{name}": {"label": f"mend {name}", "minutes": 20, "parts_cost": 20}
                    for name in SHARES},
        "rules": {
            f"{name}_is_seen": {
                "faults": list(faults), "measurements": [name], "reads": {"between": [1, 4]},
                "because": "its joints lie between the clips", "source": ["shop"],
            }
            for name, faults in SEES.items()
        },
    }  # fmt: skip


@pytest.fixture(scope="module")
def loop(tmp_path_factory: pytest.TempPathFactory) -> Case:
    """The machine, told to fail at some tries; one fault at most, and one of the joints."""
    folder = tmp_path_factory.mktemp("joints")
    (folder / "joints.yaml").write_text(json.dumps(added()))
    case = Case(load_knowledge(SMALL, folder, shipped=False), {})
    case.record("occurrence", "intermittent")
    case.record("crank_behaviour", "slow")
    return case


@pytest.fixture(scope="module")
def by_the_library(loop: Case) -> dict[tuple[str, ...], float]:
    """Bits about the joint by each reading and each pair, at ten steps a meter.

    One node is the joint, or something that is not listed; one node a reading, each hanging on it alone.
    """
    posterior, model = loop.assessment.posterior, loop.assessment.model
    states = list(zip(posterior.hypotheses.members, posterior.weights, strict=True))
    net, repair = gum.BayesNet(), gum.LabelizedVariable("repair", "repair", len(states))
    net.add(repair)
    net.cpt("repair").fillWith([weight / sum(posterior.weights) for _, weight in states])
    for name in SEES:
        table = model.table(name, loop.assessment.now.facts)
        assert isinstance(table, MeterTable)
        unlisted = table.outcomes(table.unlisted)
        rows = [table.outcomes_of[members] if members else unlisted for members, _ in states]
        while len(rows[0]) > 10:
            rows = [tuple(sum(row[n : n + 2]) for n in range(0, len(row), 2)) for row in rows]
        net.add(gum.LabelizedVariable(name, name, len(rows[0])))
        net.addArc("repair", name)
        for state, row in enumerate(rows):
            net.cpt(name)[{"repair": state}] = list(row)
    asked = [names for size in (1, 2) for names in combinations(SEES, size)]
    return {names: bits(net, names) for names in asked}


def bits(net: Any, names: tuple[str, ...]) -> float:
    theory = gum.InformationTheory(gum.LazyPropagation(net), ["repair"], list(names))
    return float(theory.mutualInformationXY())


def test_the_two_best_single_readings_are_not_the_best_pair(
    by_the_library: dict[tuple[str, ...], float],
) -> None:
    single = sorted(SEES, key=lambda name: by_the_library[(name,)])
    pair = max(combinations(SEES, 2), key=by_the_library.__getitem__)
    assert single[0] == "middle"
    assert "middle" in pair
    ways = by_the_library["way_there", "way_back"]
    assert ways - by_the_library[("way_there",)] < 0.2, "the other way only confirms"
    assert by_the_library[pair] - ways > 0.5


def test_the_watch_chooses_as_the_library_ranks_them(
    loop: Case, by_the_library: dict[tuple[str, ...], float]
) -> None:
    for meters in (1, 2):
        found = {tuple(sorted(watch.measurements)): watch.bits for watch in loop.watch(meters)}
        exact = {tuple(sorted(names)): bits for names, bits in by_the_library.items() if len(names) == meters}
        assert found == pytest.approx(exact, abs=1e-6)
        assert sorted(loop.watch(meters)[0].measurements) == list(max(exact, key=exact.__getitem__))
