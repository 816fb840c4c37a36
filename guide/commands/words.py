"""`guide words`: the trade's words."""

import click

from guide.commands.common import say


@click.command("words", epilog="\b\nExamples:\n  guide words\n  guide words wadding")
@click.argument("word", required=False)
def command(word: str | None) -> int:
    """List the words used here, what they mean, and the American word where it differs."""
    from guide.read.model import did_you_mean
    from guide.read.spoken import said
    from guide.show.documentation import GLOSSARY
    from guide.show.table import lines, of_texts

    american = {g.word: said(g.word, "american") for g in GLOSSARY}
    if word is not None and word.lower() not in {*american, *american.values()}:
        raise click.UsageError(f"{word} is not in the list{did_you_mean(word, [g.word for g in GLOSSARY])}")
    rows = []
    for entry in GLOSSARY:
        theirs = american[entry.word]
        if word is None or word.lower() in {entry.word, theirs}:
            rows.append((entry.word, entry.means + (f"  (American: {theirs})" if theirs != entry.word else "")))
    say("\n".join(lines(of_texts(("", ""), rows), indent=0)))
    return 0
