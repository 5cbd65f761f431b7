"""Small invented shifts for the curtain: the same happenings under whatever names, and in a mirror."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from mounted import BEAMLINE, raw
from practised import begun

from edgeshift.actions import claims, note, positions, pumping
from edgeshift.actions.ask import answer_known, drawn
from edgeshift.actions.desk import steady_desk
from edgeshift.actions.note import Who
from edgeshift.actions.session import Known, Session
from edgeshift.actions.veil import looks_behind
from edgeshift.drawing import draw
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.answer import Answer
from edgeshift.records.shift_state import DeclaredTie
from edgeshift.wording.names import open_naming
from edgeshift.wording.plain import as_json, as_text

LINES = (1.0, 1.45, 1.2)
"""How strong the line of each arm is."""
SCATTER = (0.0, 0.03, -0.02, 0.015)


@dataclass(frozen=True)
class World:
    """Arms by name, the first of them the control. `arm_of` says in which arm each group of units truly is:
    (1, 0) is the mirror of (0, 1).
    """

    arms: tuple[str, ...] = ("raw", "fired")
    groups: tuple[str, ...] = ("RAW", "PIT750")
    units: tuple[int, ...] = (3, 3)
    arm_of: tuple[int, ...] = (0, 1)
    paired: bool = False
    batch: str | None = None
    words: tuple[str, ...] = ()
    scans: int = 1
    standard: str = "feldspar"
    claimed: bool = True

    def unit(self, group: int, nth: int) -> str:
        return f"{self.groups[group]} {'ABCDEFG'[nth]}"

    def specimen(self, group: int, nth: int) -> str:
        return f"{self.groups[group]}-{'ABCDEFG'[nth]}"

    def file(self, group: int, nth: int, scan: int) -> str:
        return f"{self.specimen(group, nth)}_{scan + 1}.dat"

    @property
    def members(self) -> list[tuple[int, int]]:
        """(group, number) of every unit."""
        return [(group, nth) for group, many in enumerate(self.units) for nth in range(many)]

    @property
    def mirrored(self) -> World:
        """The same files; what was in the one arm is now in the other."""
        return replace(self, arm_of=self.arm_of[::-1])

    def lot(self, *order: int) -> tuple[str, ...]:
        """The lot that calls the groups P, Q, ... in this order."""
        return tuple(self.arms[self.arm_of[group]] for group in order)

    @property
    def text(self) -> str:
        words = self.words or self.arms
        arms = [
            {"name": name, "words": said, "control": nth == 0}
            for nth, (name, said) in enumerate(zip(self.arms, words, strict=True))
        ]
        units = [
            {
                "name": self.unit(group, nth),
                "arm": self.arms[self.arm_of[group]],
                "pair": f"dig {nth}" if self.paired else None,
                "batch": self.batch if group == 1 and nth > 1 else None,
            }
            for group, nth in self.members
        ]
        specimens = [{"name": self.specimen(*both), "unit": self.unit(*both)} for both in self.members]
        specimens += [{"name": self.standard, "kind": "standard"}, {"name": "bare tape", "kind": "blank"}]
        feature = {"kind": "height", "windows": [[1567, 1569]], "words": f"{words[1]}: bump"}
        line = {
            "gives": f"share of {words[1]}",
            "coefficients": [0.0, 0.5],
            "between": [0.1, 9.0],
            "error": 0.1,
            "source": f"measured on {words[1]} by nobody, invented here",
            "saturation": f"none was seen in {words[0]}",
        }
        whole = {
            "question": f"does {words[1]} differ from {words[0]}?",
            "arms": arms,
            "units": units,
            "specimens": specimens,
            "edges": [{"edge": "Al K", "feature": feature, "matters": 0.2, "calibration": line}],
            "limits": {"pressure_mbar": 1.0e-6},
            "day": {"ends": "2026-03-01T20:00:00Z"},
            "plan": {"scans_per_spot": self.scans},
        }
        return "".join(f"{key}: {json.dumps(value)}\n" for key, value in whole.items()) + BEAMLINE

    @property
    def files(self) -> list[tuple[str, bytes]]:
        """Every scan of every unit by turns, then a standard, a strange specimen, and a copy."""
        found = []
        for scan in range(self.scans):
            for group, nth in sorted(self.members, key=lambda both: both[::-1]):
                line = LINES[group] + SCATTER[nth]
                seed = 100 * group + 10 * nth + scan
                held = raw(self.specimen(group, nth), f"{self.groups[group]} side", line, seed)
                found.append((self.file(group, nth, scan), held))
        found.append((f"{self.standard}_1.dat", raw(self.standard, "1", 0.7, seed=901)))
        found.append((f"{self.groups[1]}-X_1.dat", raw(f"{self.groups[1]}-X", "1", 1.4, seed=902)))
        found.append((f"again {self.specimen(1, 0)}.dat", found[1][1]))
        return found

    @property
    def secrets(self) -> set[str]:
        """Everything that nobody may read behind the curtain."""
        found = {*self.arms, *self.words, *(name for name, _ in self.files if self.standard not in name)}
        for both in self.members:
            found |= {self.unit(*both), self.specimen(*both)}
        found |= {f"{group} side" for group in self.groups} | {f"{self.groups[1]}-X"}
        return found | ({self.batch} if self.batch else set())


@contextmanager
def opened(place: Path, world: World) -> Iterator[Session]:
    """The shift of a world, with what people did and said in it."""
    desk = steady_desk()
    with begun(place, world.files, world.text, desk) as folder:
        _people(folder, desk, world)
        yield Session(folder, desk)


def _people(folder: ExperimentFolder, desk, world: World) -> None:
    said = f"{world.specimen(1, 0)} of {world.arms[1]} looks odd"
    note.judge(folder, desk, Who("host", said), "2", "keep-with-a-note")
    note.write(
        folder, desk, Who("student"), f"{world.file(0, 0, 0)}: {world.words[0] if world.words else said}"
    )
    tie = DeclaredTie(0.1, 0.02, f"a peak of {world.unit(0, 0)}", edge="Al K")
    note.tie(folder, desk, Who("host", "as cited"), tie)
    log = "minutes,mbar\n" + "".join(f"{at},{4.5e-5 / at:.3e}\n" for at in range(2, 30))
    given = pumping.Given(f"{world.arms[1]} in the lock.csv", log.encode())
    pumping.pressure_log(folder, desk, Who("host", f"with {world.arms[0]}"), given, from_start=True)
    pumping.isolate(folder, desk, Who("host"), [(0.0, 1e-6), (60.0, 2e-6)])
    across = "mm,signal\n" + "".join(f"{at / 4},{1.0 if 3 < at / 4 < 7 else 0.1}\n" for at in range(41))
    scan = (f"over {world.specimen(1, 0)}.csv", across.encode())
    positions.position(folder, desk, Who("host"), world.specimen(1, 0), scan, 5.0)
    note.place(folder, desk, Who("host", f"it was {world.specimen(0, 0)}"), "1", world.specimen(0, 0), "t")
    if not world.claimed:
        return
    compared = [world.arms[world.arm_of[group]] for group in (0, 1)]
    aloud = claims.Said(f"{said}, and higher", 3, edge="Al K", arms=compared, higher=compared[1])
    claims.claim(folder, desk, Who("student"), aloud)


def behind(session: Session, world: World, *order: int) -> Known:
    """What is known now, behind a curtain whose lot calls the groups P, Q, ... in this order."""
    return session.veiled(session.known(), world.lot(*order))


def everything(session: Session, known: Known, specimen: str | None = None) -> list[Answer]:
    """Whatever can be asked of the shift; shares, which take a second each, of one specimen alone."""
    found = answer_known(session, known, "begin") + answer_known(session, known, "minutes")
    found += answer_known(session, known, "here", against="Al") + answer_known(session, known, "here", "Al K")
    if specimen:
        found += answer_known(session, known, "here", "Al K", shares=True, specimen=specimen)
    found += answer_known(session, known, "trust") + answer_known(session, known, "trust", "Al K")
    found += answer_known(session, known, "trust", compare=("1", "2"))
    found += answer_known(session, known, "say")
    found += answer_known(session, known, "real") + answer_known(session, known, "real", "Al K")
    return drawn(found)


def shown(known: Known, found: list[Answer]) -> str:
    """All that a room could read, see or hear of these answers, but for what identifies them."""
    naming = open_naming(known.experiment)
    plain = [replace(each, identity="") for each in found]
    pictures = [draw(each.figure, 1280, naming=naming, looks=looks_behind(known, each)) for each in found]
    return "\n".join([as_json(plain, naming), as_text(plain, naming), *pictures])
