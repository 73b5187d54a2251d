"""The folders of knowledge that a command is about: the options that name them, and what is in them."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import update_wrapper
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from crankpath.shell.settings import ALONE, KB, chosen_folder

if TYPE_CHECKING:  # help and the first prompt wait for no knowledge
    from crankpath.engine.knowledge.folders import Read
    from crankpath.engine.knowledge.problems import Problem
    from crankpath.engine.knowledge.records import Knowledge

_OPTIONS: Final = (
    (KB, "DIR", "A shop's own folder, laid over the shipped knowledge."),
    (ALONE, "BASE", "Another whole knowledge base: a folder, or the name of a shipped one."),
)


@contextmanager
def _uncollected() -> Iterator[None]:
    """No search for garbage meanwhile: there is none, and to go through all again and again took 50 ms."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


@dataclass(frozen=True, slots=True)
class Folders:
    """A shop's folder or none, over a whole base; without `base` that is the shipped starting circuit."""

    own: str | None = None
    base: str | None = None

    def over(self, folder: str | None) -> Folders:
        """The same with that shop's folder, if one is given."""
        return self if folder is None else replace(self, own=folder)

    @property
    def below(self) -> Folders:
        """The whole base without the shop's folder."""
        return replace(self, own=None)

    @property
    def paths(self) -> tuple[Path, ...]:
        """Every folder, the whole base first; the base named as the shop's folder stands once."""
        from crankpath.engine.knowledge.folders import folder_of, same, shipped_folder

        base = folder_of(self.base) if self.base else shipped_folder()
        own = folder_of(self.own) if self.own else base
        return (base,) if same(own, base) else (base, own)

    def read(self, seen: Read | None = None) -> tuple[Knowledge | None, tuple[Problem, ...]]:
        """The knowledge, and every slip of reading it; what is `seen` is not read again, and kept there."""
        from crankpath.engine.knowledge.loading import read_knowledge

        with _uncollected():
            return read_knowledge(*self.paths, shipped=False, seen=seen)

    def load(self) -> Knowledge:
        """The knowledge, as it was kept or from its files. Raises KnowledgeError with every slip."""
        from crankpath.shell.kb_cache import cache_path, keep, kept

        with _uncollected():
            place = cache_path(self.paths)
            kb = kept(place) if place else None
            if kb is None:
                from crankpath.engine.knowledge.loading import load_knowledge

                kb = load_knowledge(*self.paths, shipped=False)
                if place:
                    keep(place, kb)
            gc.freeze()  # it lives as long as the process
        return kb

    def cases(self) -> list[tuple[str, str, bytes | str]]:
        """(folder, file, bytes or what is wrong) of each case, the base's first; the shipped folder is "".

        A case takes the place of one of the same name below; those that are retired are left out.
        """
        from crankpath.engine.knowledge.folders import case_texts, read_layers, same, shipped_folder
        from crankpath.engine.knowledge.problems import ProblemCollector

        shipped, paths = shipped_folder(), self.paths
        found = ((at, file, text) for at in paths for file, text in case_texts(at))
        if len(paths) > 1:  # a folder by itself retires none of its own
            counts = read_layers(paths, ProblemCollector()).case_files
            found = ((at, file, text) for at, file, text in found if counts.get(file) == at)
        return [("" if same(at, shipped) else str(at), file, text) for at, file, text in found]


def folder_options(hidden: bool = False) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """The options --kb and --alone of a command; `meant` tells what was given."""

    def decorated(command: Callable[..., None]) -> Callable[..., None]:
        for name, metavar, help_ in reversed(_OPTIONS):
            command = click.option(
                f"--{name}", metavar=metavar, help=help_, hidden=hidden, expose_value=False, callback=_given
            )(command)
        return command

    return decorated


def _given(context: click.Context, option: click.Parameter, value: str | None) -> None:
    if value is not None:
        context.meta[f"{__name__}.{option.name}"] = value


def meant(context: click.Context) -> Folders:
    """The folders given on the command line, before the command or after it, or those that were set once.

    A base that is named takes no folder that was set for another one.
    """
    own, base = (context.meta.get(f"{__name__}.{name}") for name in (KB, ALONE))
    if own is None and base is None:
        return context.obj if isinstance(context.obj, Folders) else Folders()
    return Folders(own, chosen_folder(ALONE) if base is None else base)


def pass_folders(command: Callable[..., None]) -> Callable[..., None]:
    """Give the command the `Folders` it is about as its first argument, and the options that name them."""

    @folder_options(hidden=True)
    @click.pass_context
    def asked(context: click.Context, *args: Any, **kwargs: Any) -> None:
        context.invoke(command, meant(context), *args, **kwargs)

    return update_wrapper(asked, command)
