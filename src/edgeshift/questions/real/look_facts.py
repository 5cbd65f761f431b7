"""The reasons that looks give: what the last one was, what it rests on, and its exact companion."""

from __future__ import annotations

from edgeshift.questions.real.asking import Asked
from edgeshift.questions.real.companion import Companion
from edgeshift.records.answer import Fact, Ref
from edgeshift.wording import looks as words


def look_facts(asked: Asked, exact: Companion | None) -> tuple[Fact, ...]:
    """Nothing where nobody keeps a book and the units cannot be judged."""
    facts = []
    judged = asked.judged
    if judged.looks:
        last, earlier = judged.looks[-1], len(judged.looks) - 1
        told = words.taken(last.units, last.planned, asked.nest.paired, earlier)
        facts.append(Fact("look", told, last.level))
    if judged.frozen:
        units = {arm: len(units) for arm, units in judged.nest.arms}
        refs = tuple(Ref("unit", u.unit) for _, side in judged.nest.arms for u in side)
        facts.append(Fact("units-judged", words.judged_of(units), evidence=refs))
    if exact:
        facts.append(Fact("exact-companion", exact.told, exact.p))
    return tuple(facts)


def look_cautions(asked: Asked, states: dict[str, str], others: bool) -> tuple[str, ...]:
    """That looks were taken under another name of the arm, that their plan was changed since, that
    decisions were taken about a look after it was seen, and that `others` of its family set its level."""
    judged, said = asked.judged, []
    renamed = sum(look.treated != asked.treated for look in judged.looks)
    if renamed:
        said.append(words.under_another_name(renamed))
    if judged.plan_changed:
        said.append(words.plan_changed(judged.looks[0].planned, judged.planned_now, asked.nest.paired))
    if judged.looks and judged.acts:
        said.append(words.judged_again(judged.acts))
    if judged.looks and others and asked.comparison.role == "family" and states["units"] != "cannot-test":
        said.append(words.LEVEL_OF_FAMILY)
    return tuple(said)
