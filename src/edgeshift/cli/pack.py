"""edgeshift pack: the envelope that the group takes home."""

from __future__ import annotations

import typer

from edgeshift.cli.options import Folder, Json


def pack(folder: Folder, as_json: Json = False) -> None:
    """Pack everything into one zip under envelope/: raw bytes, book, answers, curves, pictures, hashes.

    The same experiment gives the same bytes. No field asks for a name; read free notes before handing it on.
    """
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.pack import pack as action
    from edgeshift.cli.printing import as_json_list, caution
    from edgeshift.wording.envelope import packed

    made = action(folder, desk=Desk())
    caution(made.complaint)
    if as_json:
        plain = {"path": str(made.path), "files": made.files, "bytes": made.size, "cautions": made.cautions}
        typer.echo(as_json_list([plain]))
        return
    typer.echo(packed(str(made.path), made.files, made.size))
    for each in made.cautions:
        typer.echo(f"  caution: {each}")
    typer.echo(f"Prove it anywhere: edgeshift prove {made.path}")
