"""Finding what a person named."""

from __future__ import annotations

import pytest

from crankpath.engine.errors import UnknownName
from crankpath.engine.knowledge.records import Fault, Origin, Repair
from crankpath.engine.typed import names
from crankpath.engine.typed.spelling import match_name

HERE = Origin("test.yaml", 1, 1)


def fault(name: str, label: str) -> Fault:
    return Fault(
        name, label, "g", (), (), (), {"present": 1.0}, 0.5, "mend", None, (), None, "", (), (), HERE
    )


FAULTS = {
    f.id: f
    for f in (
        fault("positive_post_joint", "joint at the positive post"),
        fault("negative_post_joint", "joint at the negative post"),
        fault("positive_cable", "positive cable"),
        fault("relay_contacts", "relay contacts"),
        fault("relay_coil", "relay coil"),
    )
}


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("positive_cable", "positive_cable"),
        ("Positive Cable", "positive_cable"),
        ("positive-cable", "positive_cable"),
        ("joint at the negative post", "negative_post_joint"),
        ("neg", "negative_post_joint"),
        ("pos cab", "positive_cable"),
        ("relay coyl", "relay_coil"),
        ("postive cabel", "positive_cable"),
    ],
)
def test_the_one_that_was_meant_is_found(typed: str, found: str) -> None:
    assert names.find(typed, FAULTS).sure == found
    assert names.sure(typed, FAULTS) == found


@pytest.mark.parametrize(
    ("typed", "near"),
    [("relay", {"relay_contacts", "relay_coil"}), ("pos", {"positive_post_joint", "positive_cable"})],
)
def test_what_can_be_several_is_not_decided(typed: str, near: set[str]) -> None:
    found = names.find(typed, FAULTS)
    assert found.sure is None
    assert set(found.near) == near
    with pytest.raises(UnknownName, match="write which"):
        names.sure(typed, FAULTS)


@pytest.mark.parametrize("typed", ["", "   ", "alternator", "x" * 5000, "42"])
def test_what_is_none_is_said_to_be_none(typed: str) -> None:
    assert names.find(typed, FAULTS).sure is None
    with pytest.raises(UnknownName, match="Nothing here is called"):
        names.sure(typed, FAULTS)


def test_a_wrong_name_offers_what_is_near_it() -> None:
    with pytest.raises(UnknownName, match=r"near it: .*positive_cable"):
        names.sure("passive table", FAULTS)


def test_a_repair_is_found_by_its_label() -> None:
    repair = Repair("clean_posts", "clean the battery posts", (), 15.0, 2.0, (), (), HERE)
    assert names.sure("clean the battery posts", {"clean_posts": repair}) == "clean_posts"


def test_a_name_written_out_wins_over_longer_ones() -> None:
    assert match_name("post", {"post": ("post",), "post_joint": ("post joint",)}).sure == "post"
