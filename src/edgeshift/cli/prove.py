"""edgeshift prove: does an envelope still say what its raw bytes say?"""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Json


def prove(
    envelope: Annotated[Path, typer.Argument(help="The zip that pack wrote.", show_default=False)],
    as_json: Json = False,
) -> None:
    """Check every byte of an envelope, compute every number once more from the raw ones, say what differs."""
    from edgeshift.actions.desk import Desk
    from edgeshift.actions.prove import prove as action
    from edgeshift.actions.prove import prove_or_refuse
    from edgeshift.cli.printing import as_json_list, read_file
    from edgeshift.wording.envelope import proved

    proof = action(read_file(envelope), envelope.name, desk=Desk())
    typer.echo(
        as_json_list([{**asdict(proof), "holds": proof.holds}]) if as_json else "\n".join(proved(proof))
    )
    prove_or_refuse(proof)
