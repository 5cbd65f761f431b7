"""The report of one shift as one page for a browser: no script, no network, its fonts and pictures inside."""

from __future__ import annotations

from functools import cache
from typing import Any

from edgeshift.publish.material import Material
from edgeshift.publish.press import faces
from edgeshift.publish.report import pictures, report_data


def web_report(material: Material) -> dict[str, bytes]:
    """`report.html`, from the same data as the PDF. The same material gives the same bytes."""
    carried = [claimed.carried for claimed in material.claims if claimed.carried]
    drawn = [told.picture for told in (*material.answers, *carried) if told.picture]
    tables = {f"{picture.name}.svg": picture.tables for picture in drawn}
    page = _template().render(d=report_data(material), svg=pictures(material), tables=tables, fonts="")
    return {"report.html": page.replace("/* fonts */", faces(page), 1).encode()}


@cache
def _template() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("edgeshift.publish", "layout")
    made = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    return made.get_template("report.html")
