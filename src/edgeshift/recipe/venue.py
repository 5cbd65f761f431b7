"""A venue profile: what the place where a poster hangs or a talk is given asks for, typed by the group."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from edgeshift.recipe.knobs import Section


class Venue(Section):
    """The rules of one venue. Without a profile nothing is left out and nothing is asked for."""

    size: Literal["A0", "A1"] = Field("A1", description="Sheet of the poster, upright.")
    thanks: bool = Field(
        True, description="False: the place for thanks is left out, for it would hold names."
    )
    links: bool = Field(True, description="False: no address of the web or of a mailbox may stand anywhere.")
    logo_space: bool = Field(False, description="True: a blank place is kept for a sign you put in yourself.")
    credit: str = Field(
        "", pattern=r"^[^{}]*$", max_length=200, description="Stands under each figure, word for word."
    )
    keep_out: tuple[str, ...] = Field(
        (), description="Words that must not appear anywhere: names of people, schools, places, makers."
    )
