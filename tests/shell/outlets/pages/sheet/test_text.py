from __future__ import annotations

import json

from crankpath.engine.cases.case import Case
from crankpath.shell.outlets.pages import EntryMeta, SheetMeta, SheetNote, sheet_json, sheet_of, sheet_text

META = SheetMeta(
    name="7",
    machine="tractor",
    complaint="slow since Monday",
    told=(EntryMeta(by="operator"),),
    cautions=("chocks",),
    confirmed=("hot_cable",),
    notes=(SheetNote("rained", "2026-01-05T09:00:00Z", "operator"),),
)


def test_the_sheet_word_for_word(repaired_small: Case) -> None:
    text = sheet_text(sheet_of(repaired_small, META))
    causes, rest = text.index("Cause\n-----"), text.index("Ruled out, and by what")
    assert text[:causes] == BEGINNING
    assert text[rest : text.index("Knowledge base ")] == END
    assert "bad positive cable (confirmed, > 99 %)" in text[causes:rest]


BEGINNING = """\
tractor
case 7
================================================================================
Cured by: replace the positive cable.
State: repaired and proven.
Complaint: "slow since Monday"

Machine
-------
  system voltage: 12 V

Readings in order (mark, value, limit in force)
-----------------------------------------------
  1 -     what it does in start: slow
          operator
  2 FAIL  positive leg drop: 0.9 V   (at most 0.4 V)
  3 pass  negative leg drop: 90 mV   (at most 0.4 V)
  4 pass  battery while cranking: 10.9 V   (at least 9.6 V)
  5 -     REPAIR: replace the positive cable: cured
  6 pass  positive leg drop: 80 mV   (at most 0.4 V)

Where the cranking voltage went
-------------------------------
  before the repair
    positive leg          0.90 V  ###
    contacts + starter ~  9.91 V  ######################################
    negative leg          0.09 V
  as it should be
    positive leg       ~  0.12 V
    contacts + starter ~ 10.39 V  ########################################
    negative leg       ~  0.12 V

The circuit with each voltage where it was read
-----------------------------------------------
  [ battery; battery while cranking 10.9 V, before the repair
  o B+ post
  X THE FAULT: positive cable   0.9 V -> 80 mV pass
  o stud
  ( starter motor
  o case
  |   ground cable   90 mV, before the repair
  o B- post

"""
END = """\
Ruled out, and by what
----------------------
  by negative leg drop 90 mV (no. 3): bad ground cable (45 % -> < 1 %)

Repair
------
  replace the positive cable: cured

Proof
-----
  positive leg drop: 0.9 V -> 80 mV, at most 0.4 V pass

Notes
-----
  rained (operator, 2026-01-05 09:00)

Cautions given
--------------
  Neutral, brake, chocks.

Sources of the limits and rules
-------------------------------
  common practice, no source (common practice)

"""


def test_no_line_is_wider_than_asked_for(loader: Case, loader_meta: SheetMeta) -> None:
    for width in (60, 80, 132):
        assert max(map(len, sheet_text(sheet_of(loader, loader_meta), width).splitlines())) <= width


def test_the_json_tells_the_same_and_is_plain_ascii(loader: Case, loader_meta: SheetMeta) -> None:
    sheet = sheet_of(loader, loader_meta)
    text = sheet_json(sheet)
    data = json.loads(text)
    assert text.isascii()
    assert data["format"] == 1
    assert [row["value"] for row in data["rows"]] == [row.value for row in sheet.rows]
    assert data["causes"][0]["probability"] == sheet.causes[0].probability
    assert data["circuit"]["there"]["points"] == list(sheet.circuit.there.points) if sheet.circuit else False
