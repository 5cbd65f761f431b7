"""edgeshift map: the same mixture over a whole stack."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from edgeshift.cli.options import Json


def map_(
    stack: Annotated[Path, typer.Argument(help="HDF5, NeXus or npy.", show_default=False)],
    reference: Annotated[
        list[str], typer.Option(help="A file, or a name on the shelf; say it once for each.")
    ],
    edge: Annotated[str, typer.Option(help="As 'Fe L'.")],
    out: Annotated[
        Path, typer.Option(help="Folder for the shares and pictures; a stopped run goes on there.")
    ],
    data: Annotated[str | None, typer.Option(help="Which data set of an HDF5 file.")] = None,
    energy: Annotated[
        str | None, typer.Option(help="A data set of the file, or a text or npy file, in eV.")
    ] = None,
    order: Annotated[str | None, typer.Option(help="pixels or energies: which comes first.")] = None,
    baseline: Annotated[str, typer.Option(help="What may lie under a curve: none, level or line.")] = "level",
    window: Annotated[
        tuple[float, float] | None, typer.Option(help="Only energies from the first to the second, in eV.")
    ] = None,
    axis: Annotated[str, typer.Option(help="How the stack's energies are tied: which known peak.")] = "",
    shelf: Annotated[Path | None, typer.Option(help="Another shelf.", show_default=False)] = None,
    cores: Annotated[int | None, typer.Option(help="Cores of this machine; all of them by default.")] = None,
    cluster: Annotated[
        str | None, typer.Option(help="An existing Dask scheduler, as tcp://address:8786.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Shares of references in every curve of a stack, block by block; a stopped run is taken up again."""
    from edgeshift.actions.map_shares import Asked, map_shares
    from edgeshift.cli.printing import counter
    from edgeshift.errors import QuestionRefused
    from edgeshift.folder.shelf import Shelf, shelf_folder
    from edgeshift.wording.plain import as_json as dumped
    from edgeshift.wording.plain import as_text

    for said, known, option in ((order, (None, "pixels", "energies"), "--order"),
                                (baseline, ("none", "level", "line"), "--baseline")):  # fmt: skip
        if said not in known:
            raise QuestionRefused(option, f"one of {', '.join(k for k in known if k)}", said, "Choose one.")
    asked = Asked(stack, reference, out, edge, data, energy, order, baseline, window, axis)
    found = map_shares(asked, Shelf(shelf_folder(shelf)), counter("blocks"), cores, cluster)
    typer.echo((dumped if as_json else as_text)([found]), nl=False)
    if not as_json:
        typer.echo(
            f"Edge steps, curve by curve: {out / 'shares.h5'}, pictures: {out / 'shares.svg'} and .png"
        )
