"""Pages that somebody else must believe: the sheet of a case and the card of a step.

Everything they show is one record of plain data; page, text and JSON are made from that alone.
"""

from crankpath.shell.outlets.pages.card import card_page
from crankpath.shell.outlets.pages.sheet.data import EntryMeta, Sheet, SheetMeta, SheetNote
from crankpath.shell.outlets.pages.sheet.html import sheet_html
from crankpath.shell.outlets.pages.sheet.json import sheet_json
from crankpath.shell.outlets.pages.sheet.making import sheet_of
from crankpath.shell.outlets.pages.sheet.text import sheet_text

__all__ = [
    "sheet_of", "sheet_html", "sheet_text", "sheet_json", "card_page",
    "Sheet", "SheetMeta", "EntryMeta", "SheetNote",
]  # fmt: skip
