"""``without``: a tool that is not at hand; readings that need it are not asked."""

from __future__ import annotations

from crankpath.engine.typed import spelling
from crankpath.shell.session.commands.command import Command
from crankpath.shell.session.outcome import Outcome, Scene, Write, refused


def _act(scene: Scene, rest: str) -> Outcome | None:
    tools, lacks = scene.state.kb.tools, scene.state.lacks
    if not rest:
        labels = ", ".join(
            f"{tool.label}{' (not here)' if tool.id in lacks else ''}" for tool in tools.values()
        )
        return refused(f"? Which tool is not at hand? {labels}. with TOOL takes it back.")
    found = spelling.match_name(rest, {tool.id: (tool.id, tool.label) for tool in tools.values()})
    if found.sure is None:
        near = ", ".join(tools[t].label for t in found.near or tools)
        return refused(f"? No tool by that name. There are: {near}.")
    return _told(lacks | {found.sure}, f"{tools[found.sure].label}: not at hand")


def _with(scene: Scene, rest: str) -> Outcome | None:
    tools = scene.state.kb.tools
    found = spelling.match_name(rest, {tool.id: (tool.id, tool.label) for tool in tools.values()}).sure
    if found is None:
        return None
    return _told(scene.state.lacks - {found}, f"{tools[found].label}: at hand")


def _told(lacks: frozenset[str], said: str) -> Outcome:
    return Outcome(
        lines=(f"-- {said}.",), writes=(Write("equipment", {"facts": {}, "lacks": sorted(lacks)}),)
    )


COMMAND = Command("without", "TOOL", "a tool that is not at hand", _act)
WITH = Command("with", "TOOL", "it is at hand again", _with)
