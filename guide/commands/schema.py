"""`guide schema`: JSON Schema of project and stage files."""

import os
from pathlib import Path

import click


@click.command(
    "schema",
    epilog="\b\nExamples:\n  guide schema project > project.schema.json\n  guide schema stage > stage.schema.json\n\n"
    "\b\n"
    "In an editor with a YAML language server, put this on a file's first line:\n"
    "  # yaml-language-server: $schema=project.schema.json",
)
@click.argument("what", type=click.Choice(["project", "stage"]))
def command(what: str) -> int:
    """Print the JSON Schema (2020-12) of project or stage files, with every key's meaning and unit."""
    import json

    from guide.read.json_schema import json_schema
    from guide.read.places import language_for
    from guide.read.project import shape_for
    from guide.read.stage_shape import STAGE

    shape = STAGE if what == "stage" else shape_for(language_for(Path(), os.environ).stages)
    click.echo(json.dumps(json_schema(shape, f"A fraywork {what} file"), ensure_ascii=False, indent=1))
    return 0
