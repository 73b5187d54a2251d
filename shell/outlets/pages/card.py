"""The card of a step as one HTML page for a phone, answered by tapping, with nothing to fetch."""

from __future__ import annotations

from markupsafe import Markup

from crankpath.engine.cases.case import Case
from crankpath.shell.outlets.messages.watch_card import waits, watch_card
from crankpath.shell.outlets.pages.card_data import card_of
from crankpath.shell.outlets.pages.leads_svg import draw_strips
from crankpath.shell.outlets.pages.sheet.html import render
from crankpath.shell.outlets.pages.watch_page import watch_page
from crankpath.shell.text.clean import one_line


def card_page(case: Case, measurement: str | None = None, name: str = "", reference: str = "") -> str:
    """The page of the reading that is named, or of the next step.

    Args:
        case: the case.
        measurement: a reading of one's choice.
        name: the case's, with its machine and step.
        reference: what stands for the step in the reply.

    Raises:
        UnknownName, CaseError: no such reading here, or there is nothing left to do.
    """
    if measurement is None and waits(case):
        return watch_page(watch_card(case, name=one_line(name, 120)))
    card = card_of(case, measurement, one_line(name, 120))
    drawing = draw_strips(card.picture, f"{card.title}: where the leads go") if card.picture else ""
    return render("card.html", "card.css", "card.js", card=card, reference=reference, drawing=Markup(drawing))
