"""`guide words`: the trade's words."""

import click

from guide.commands.common import say


@click.command("words", epilog="\b\nExamples:\n  guide words\n  guide words wadding")
@click.argument("word", required=False)
def command(word: str | None) -> int:
    """List the words used here, what they mean, and the American word where it differs."""
    from guide.read.problems import did_you_mean
    from guide.read.spoken import said
    from guide.show.glossary import GLOSSARY

    american = {g.word: said(g.word, "american") for g in GLOSSARY}
    if word is not None and word.lower() not in {*american, *american.values()}:
        raise click.UsageError(f"{word} is not in the list{did_you_mean(word, [g.word for g in GLOSSARY])}")
    wide = max(len(g.word) for g in GLOSSARY) + 2
    for entry in GLOSSARY:
        theirs = american[entry.word]
        if word is None or word.lower() in {entry.word, theirs}:
            differs = f"  (American: {theirs})" if theirs != entry.word else ""
            say(f"{entry.word:<{wide}}{entry.means}{differs}")
    return 0
