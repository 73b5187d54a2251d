"""``crankpath completion SHELL``: the script that makes a shell complete commands and options."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class


@click.command("completion")
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def command(context: click.Context, shell: str) -> None:
    """Print the script by which SHELL completes crankpath's commands and options.

    \b
    Example:
      crankpath completion bash >> ~/.bashrc
      crankpath completion zsh >> ~/.zshrc
      crankpath completion fish > ~/.config/fish/completions/crankpath.fish
    """
    maker = get_completion_class(shell)
    assert maker is not None, shell  # the three names are click's own
    script = maker(context.find_root().command, {}, "crankpath", "_CRANKPATH_COMPLETE")
    click.echo(script.source_template % script.source_vars())
