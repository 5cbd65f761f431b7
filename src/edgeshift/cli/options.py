"""What several verbs take from the line, worded once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Folder = Annotated[Path, typer.Argument(help="The folder of the experiment.", show_default=False)]
Json = Annotated[bool, typer.Option("--json", help="Print a list as JSON instead of sentences.")]
Role = Annotated[str, typer.Option(help="Who acts: host, mentor, teacher or student. Never a name.")]
Reason = Annotated[str, typer.Option(help="Why, in a few words.")]
Why = Annotated[str, typer.Option("--reason", help="Why, in a few words; never left out here.")]
