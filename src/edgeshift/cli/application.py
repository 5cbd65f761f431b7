"""The verbs, in the order in which a shift needs them. Nothing scientific is imported here."""

from __future__ import annotations

import typer

from edgeshift.cli import (
    ask,
    look,
    map_,
    new,
    note_room,
    pack,
    plan,
    practice,
    prove,
    report,
    shelf,
    stage,
    story,
    take,
)

app = typer.Typer(
    name="edgeshift",
    help="From one shift of raw X-ray absorption scans to answers a visiting group can stand behind.",
    epilog="Follow your facility's and beamline's rules; staff decide.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    pretty_exceptions_show_locals=False,
    rich_markup_mode=None,
)
app.command("practice")(practice.practice)
app.command("new")(new.new)
app.command("take")(take.take)
app.command("look")(look.look)
app.command("plan")(plan.plan)
app.command("ask")(ask.ask)
app.command("stage")(stage.stage)
app.add_typer(note_room.kinds, name="note")
app.add_typer(shelf.acts, name="shelf")
app.command("story")(story.story)
app.command("report")(report.report)
app.command("pack")(pack.pack)
app.command("prove")(prove.prove)
app.command("map")(map_.map_)
