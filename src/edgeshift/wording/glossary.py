"""The glossary: every word of ours in our own words, for somebody who has never been to a beamline.

One source for the page in the docs and for "what is this word?" on a phone.
"""

from __future__ import annotations

import re
from typing import NamedTuple


class Entry(NamedTuple):
    """One word, or a few that belong together, in at most two sentences; `see` is a page: words, place."""

    word: str
    meaning: str
    see: tuple[str, str] | None = None

    @property
    def key(self) -> str:
        """Its name in addresses."""
        return re.sub(r"[^a-z0-9]+", "-", self.word.lower()).strip("-")

    @property
    def spoken(self) -> tuple[str, ...]:
        """How it may stand in a sentence, in small letters."""
        parts = re.sub(r" \([^)]*\)", "", self.word).lower().split(", ")
        return tuple(part for part in parts if len(part) > 1)


GLOSSARY: tuple[tuple[str, tuple[Entry, ...]], ...] = (
    (
        "Light and edges",
        (
            Entry(
                "Photon energy (eV)",
                "what one grain of light carries. A scan turns through it step by step.",
            ),
            Entry(
                "Soft X-rays",
                "X-rays of low energy. A few centimetres of air stop them, which is why everything is "
                "in vacuum.",
            ),
            Entry(
                "Absorption edge",
                "the energy at which an element's absorption jumps. Each element has its own edges.",
            ),
            Entry(
                "K, L, M edge",
                "from which of its inner shells the atom gave an electron away: K lies deepest.",
            ),
            Entry("Edge step", "the lasting rise that an edge leaves behind. We call it one."),
            Entry("White line", "the sharp peak with which many edges begin."),
            Entry(
                "Near-edge structure",
                "the shape of the first tens of eV. It depends on what surrounds the atom and how it "
                "is bonded.",
            ),
            Entry("Coordination", "the count of neighbours that an atom is bonded to."),
            Entry(
                "Oxidation state",
                "how many electrons short an atom is, by the chemist's way of counting.",
            ),
            Entry("Monochromator", "the part that lets one energy through and stops the rest."),
            Entry("Grating", "a finely grooved mirror. Each energy leaves it in another direction."),
            Entry(
                "Second order",
                "at the same setting a grating also passes some light of double the energy.",
            ),
            Entry(
                "Top-up",
                "a few fresh electrons are added to the ring, every minute or so. It may leave one "
                "blip in a scan.",
            ),
            Entry("Footprint", "the area that the beam lights up. The flatter it comes in, the longer."),
            Entry("Phosphor", "a screen that lights up under the beam, for finding it."),
        ),
    ),
    (
        "Signals",
        (
            Entry("I0", "how much light was sent. Every signal is divided by it."),
            Entry(
                "Electron yield",
                "a current: electrons that leave the outer few nanometres of the specimen. Also called TEY.",
            ),
            Entry(
                "Drain current",
                "the same from the other side: electrons flowing in to fill the gaps. It is negative, "
                "and a signal.",
            ),
            Entry(
                "Fluorescence yield",
                "light that the specimen gives back, from deeper inside. Also called FY.",
            ),
            Entry(
                "Transmission",
                "what comes out behind a thin specimen. Absorption is the logarithm of what is missing.",
            ),
            Entry(
                "Charging",
                "electrons leave faster than an insulator can bring new ones, so the yield falls as "
                "the scan goes on.",
            ),
            Entry(
                "Self-absorption",
                "light given off inside is partly absorbed on its way out, which lowers tall peaks.",
            ),
            Entry("Dead time", "the short blindness of a counter after each count. It is undone once."),
            Entry("Ceiling", "the reading at which electronics clip. A flat top is not a measurement."),
            Entry("Dark level", "what a detector reads without any light."),
            Entry("Dose", "beam energy that stayed in the specimen, for each kilogram of it, in gray."),
            Entry(
                "Damage",
                "the specimen turns into something else while it is measured. Where that is faster "
                "than one scan, repeats agree and all are wrong.",
            ),
        ),
    ),
    (
        "From raw to reduced",
        (
            Entry("Scan", "one run along the energies, in one file or several."),
            Entry(
                "Channel",
                "one detector's readings in a scan, with unit, dark level, gain and dead time.",
            ),
            Entry(
                "Beamline profile",
                "which column is what, on this instrument.",
                ("the look-up page", "lookup/profile.md"),
            ),
            Entry(
                "Recipe",
                "every knob of the reduction in one place.",
                ("the look-up page", "lookup/recipe.md"),
            ),
            Entry(
                "Rate",
                "a reading with its dark level and dead time undone, in counts or volts per second.",
            ),
            Entry(
                "Flag",
                "a mark on one point that says what is wrong there. The point stays visible and is "
                "left out of averages.",
            ),
            Entry("Blip", "one point, or very few, that belongs to none of the other scans."),
            Entry(
                "Energy tie",
                "setting the energy scale by a peak whose place somebody published. It is declared, "
                "never applied silently.",
            ),
            Entry(
                "Slide",
                "how far a curve moved along the energy axis. All edges alike speak of the instrument, one"
                " alone perhaps of chemistry.",
            ),
            Entry("Drift", "a creeping change that comes from beam or instrument."),
            Entry("Baseline", "the smooth run of a curve had there been no edge."),
            Entry(
                "Sane choices",
                "other baselines that a careful person might have taken. How far they move the answer "
                "is printed.",
            ),
            Entry(
                "Scaling to the step",
                "dividing by the edge step. How much of the element was there no longer counts, only "
                "its state.",
            ),
            Entry("Spectrum", "a reduced curve, with its own noise and with what it shares with others."),
            Entry(
                "Independent and shared",
                "noise differs from scan to scan and averages out. A baseline or a tie moves all at once and"
                " does not.",
            ),
            Entry("Standard", "a known material, measured on the same day for comparison."),
            Entry(
                "Blank",
                "bare tape, foil or holder, measured so that it is not discovered in the specimen.",
            ),
        ),
    ),
    (
        "Who is compared with whom",
        (
            Entry("Experiment", "a folder: question, raw files, book, results."),
            Entry("Arm", "control, or one treatment."),
            Entry("Control", "the arm that went through everything except the treatment."),
            Entry(
                "Unit",
                "the smallest thing that got its treatment on its own. Three pots from one fire are "
                "one unit of firing.",
            ),
            Entry("Pair", "two units that were one thing before one of them was treated."),
            Entry("Specimen", "a piece of a unit, mounted."),
            Entry("Spot", "one place on a specimen where the beam stood."),
            Entry("Repeat", "another scan of the same spot."),
            Entry(
                "Repeat in disguise",
                "a scan or a spot that is counted as if it were a unit. The commonest way to fool oneself.",
            ),
            Entry(
                "Control edge",
                "an edge of an element that the treatment should leave alone. If it moves, suspect "
                "the instrument.",
            ),
            Entry(
                "Feature",
                "one number read from a curve in stated windows: ratio, height, area, centroid or position.",
            ),
            Entry(
                "Declared before, found after",
                "whether the feature stood in the book before the first scan of its edge. On every result.",
            ),
            Entry(
                "Difference that matters",
                "the smallest one that anybody would care about, typed beforehand. Without it nobody "
                'can say "no change".',
            ),
            Entry("Family", "edges that are asked together and share the price of it."),
        ),
    ),
    (
        "Answers",
        (
            Entry("Question", "`trust`: do we trust this trace? `real`: is the difference real?"),
            Entry(
                "Answer",
                "the one shape of every reply: verdict, sentence, reasons, what would change it, "
                "cautions, identity.",
            ),
            Entry("Verdict", "a word from a closed list."),
            Entry(
                "Rung",
                "how far a difference reaches: beyond repeat scans, beyond other spots, beyond other "
                "units. Only the last speaks of the treatment.",
            ),
            Entry(
                "Lit, not shown, cannot be tested",
                "the three states of a rung. Not shown comes with the smallest difference that would "
                "have shown.",
            ),
            Entry(
                "Claim level",
                "what kind of claim it is, 0 to 6, as the group chose it. Each asks for more than the last.",
                ("what each asks for", "how-to/say-it-aloud.md"),
            ),
            Entry(
                "Still true when",
                "how many changes a claim survived: a unit left out, a scan set aside, energies slid, labels "
                "exchanged.",
            ),
            Entry(
                "Give or take",
                "half the width of the range in which the value would land again, 19 times in 20.",
            ),
            Entry(
                "Band",
                "give or take for a whole curve at once: one place outside is news.",
                ("why", "why/few-units.md"),
            ),
            Entry(
                "One more",
                "what one more scan, spot or unit would do to the give-or-take.",
                ("how well it is told", "why/what-one-more-would-do.md"),
            ),
            Entry(
                "Share",
                "how much of a curve one reference makes, none below nought; the sum is told, not forced.",
            ),
            Entry(
                "Fan",
                "all mixtures that fit equally well while references are no better than they are. Its reach"
                " is the interval of a share.",
            ),
            Entry("Shelf", "standards that outlast a shift, each with its history of energy ties."),
            Entry("Chance", "how often luck alone goes as far."),
            Entry(
                "Detection limit",
                "how much of an element must be there before we would reliably have noticed.",
            ),
            Entry(
                "Keep, keep with a note, set aside",
                "what is said of a scan. A person may decide otherwise, with a reason; nothing is deleted.",
            ),
            Entry("Judgement", "that decision, with role, reason and time."),
            Entry(
                "Book",
                "what happened, line after line: arrivals, judgements, declarations, ties, notes. "
                "Lines are added, never changed.",
            ),
            Entry("Event", "one line of the book."),
            Entry(
                "Identity",
                "a fingerprint of everything an answer rests on. Same identity, same answer.",
            ),
            Entry(
                "Envelope",
                "one file to take home: raw bytes, book, answers, curves, pictures and their hashes.",
            ),
            Entry("Role", "host, mentor, teacher or student. Never a name."),
            Entry(
                "Metadata",
                "everything about a measurement besides its numbers: by whom, of what, when, how.",
            ),
        ),
    ),
    (
        "Around the vacuum",
        (
            Entry("Vacuum (UHV)", "pumped so far that molecules meet walls, hardly ever one another."),
            Entry("Outgassing", "surfaces give off water and air for hours once the pumps run."),
            Entry(
                "Load lock",
                "a small chamber through which specimens come in without letting air into the large one.",
            ),
        ),
    ),
)
"""Words by theme."""
ENTRIES: tuple[Entry, ...] = tuple(entry for _, group in GLOSSARY for entry in group)
BY_SPOKEN = {spoken: entry for entry in ENTRIES for spoken in entry.spoken}
_WORDS = re.compile(
    r"(?<![\w-])(" + "|".join(map(re.escape, sorted(BY_SPOKEN, key=len, reverse=True))) + r")(s?)(?![\w-])",
    re.IGNORECASE,
)


def spoken_in(text: str) -> list[Entry]:
    """The entry of every word of the glossary in the text, as often as it stands there."""
    return [BY_SPOKEN[found[1].lower()] for found in _WORDS.finditer(text)]


def known_words(text: str) -> list[tuple[str, Entry | None]]:
    """The text in pieces: with an entry where a word of the glossary stands for the first time."""
    pieces: list[tuple[str, Entry | None]] = []
    at, told = 0, set()
    for found in _WORDS.finditer(text):
        entry = BY_SPOKEN[found[1].lower()]
        if entry.word in told:
            continue
        told.add(entry.word)
        pieces += [(text[at : found.start()], None), (found[0], entry)]
        at = found.end()
    pieces.append((text[at:], None))
    return [piece for piece in pieces if piece[0]]
