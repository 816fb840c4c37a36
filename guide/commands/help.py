"""`guide help`: the pages of the documentation, at the terminal."""

import sys

import click

from guide.commands.common import clean_lines, columns, say


@click.command("help", epilog="\b\nExamples:\n  guide help\n  guide help machine\n  guide help plan")
@click.argument("topic", required=False)
@click.pass_context
def command(ctx: click.Context, topic: str | None) -> int:
    """Show a page of the documentation, or what a command can do; with no TOPIC, list the pages."""
    from guide.read.model import did_you_mean
    from guide.show.documentation import page_lines, topics
    from guide.show.table import lines, of_texts

    titles = topics()
    group = ctx.find_root().command
    assert isinstance(group, click.Group)
    if topic is None:
        say("\n".join(lines(of_texts(("", ""), titles.items()), indent=0)))
    elif topic in titles:
        _show("\n".join(page_lines(topic, columns())))
    elif found := group.get_command(ctx, topic):
        with click.Context(found, ctx.find_root(), info_name=topic) as of_it:
            say(found.get_help(of_it))
    else:
        near = did_you_mean(topic, [*titles, *group.list_commands(ctx)])
        raise click.UsageError(f"there is no page {topic}{near or '; guide help lists them'}")
    return 0


def _show(text: str) -> None:
    """Show a long text a screenful at a time where somebody sits at a terminal."""
    text = clean_lines(text)
    if sys.stdin.isatty() and sys.stdout.isatty():
        click.echo_via_pager(text)
    else:
        click.echo(text)
