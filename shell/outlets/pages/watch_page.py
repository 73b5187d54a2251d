"""The card for the cab as one HTML page, to print or to keep on a phone; nothing else is fetched."""

from __future__ import annotations

from crankpath.shell.outlets.messages.watch_card import WatchCard
from crankpath.shell.outlets.pages.sheet.html import render


def watch_page(card: WatchCard) -> str:
    """The page of the card."""
    return render("watch.html", "card.css", card=card)
