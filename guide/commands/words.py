"""`guide words`: the trade's words."""

import click

from guide.commands.common import say


@click.command("words", epilog="\b\nExamples:\n  guide words\n  guide words wadding")
@click.argument("word", required=False)
def command(word: str | None) -> int:
    """List the words used here, what they mean, and the American word where it differs."""
    from guide.read.problems import did_you_mean
    from guide.show.glossary import GLOSSARY

    if word is not None and not any(word.lower() in {g.word, g.american} for g in GLOSSARY):
        raise click.UsageError(f"{word} is not in the list{did_you_mean(word, [g.word for g in GLOSSARY])}")
    wide = max(len(g.word) for g in GLOSSARY) + 2
    for entry in GLOSSARY:
        if word is None or word.lower() in {entry.word, entry.american}:
            american = f"  (American: {entry.american})" if entry.american else ""
            say(f"{entry.word:<{wide}}{entry.means}{american}")
    return 0
