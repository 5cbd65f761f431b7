"""What an envelope says of itself to whoever opens it in ten years, and what was found when it was proved."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from edgeshift.records.proof import Difference, Link, Proof
from edgeshift.wording.numbers import count

WIDE = 100
"""Letters in a line of the README."""
TITLE = "One shift of X-ray absorption scans, with its answers"
TERMS = (
    "Whoever measured these data decides on their use, under the rules of the facility where they were"
    " measured. No licence is granted by this file."
)
NO_NAMES = "No field asks for a name: people stand here by their roles."
SAYS: Mapping[str, str] = {
    "README.txt": "how to read all of this, for a stranger",
    "manifest-sha256.txt": "the SHA-256 of every other file, as common tools read it",
    "ro-crate-metadata.json": "every file described as linked data (RO-Crate 1.1)",
    "envelope.json": "which program and version packed this",
    "experiment.yaml": "question, who is compared with whom, beamline, every knob",
    "book.jsonl": "what happened, one event a line: arrivals, judgements, looks, votes, claims",
    "methods.txt": "the steps that really ran, edge by edge",
    "story.txt": "what was done, decided and found, in order",
    "story.json": "the same as data",
    "raw/": "a file of the instrument, byte for byte as it came",
    "answers/": "every answer to one question, with all of its numbers",
    "figures/": "the picture of one answer (SVG), its numbers beside it (CSV)",
    "spectra/": "the curve of one spot: energy, absorption, noise, flags (XDI 1.0)",
    "scans/": "the curve of one scan that was kept, on its own energies (XDI 1.0)",
    "sets/": "all spots of one edge in one file (NeXus, NXxas)",
    "documents/": "a document made from the answers",
}
"""A few words on each file, or on every file of a folder."""

ONE_SCAN = "This is one scan, before the mean over its spot was taken."

README: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "",
        (
            "{question}",
            "This folder holds one experiment at a soft X-ray absorption beamline. In it are every file that"
            " the instrument wrote, and what people decided and why. So is every number and picture that was"
            " made of it. It needs no program but one that shows text. It was packed by edgeshift {version}.",
            "No field asks for a name: people stand here by their roles.",
        ),
    ),
    (
        "Is it whole?",
        (
            "This names every file whose bytes have changed:",
            "    sha256sum -c manifest-sha256.txt",
            "With edgeshift at hand, this computes everything once more from raw/ and says what differs:",
            "    edgeshift prove ENVELOPE.zip",
        ),
    ),
    ("What is in it", ("{listing}",)),
    (
        "How to read a curve",
        (
            "Files in spectra/ and scans/ are XDI 1.0: header lines that begin with #, then a row a point."
            " Columns are energy (eV), absorption, its independent noise and flags. The noise is one standard"
            " deviation. A flag is 0 where nothing is doubted. The last lines of the header say, in order,"
            ' what was done to the curve. "scans:" names the scans in it. Lines of kind "arrival" in'
            " book.jsonl say from which file of raw/ each scan came.",
            "Files in sets/ are NeXus (HDF5), one entry a spot. Each entry holds to the contributed"
            " definition NXxas. Its required fields are definition, element/symbol, edge/name,"
            " is_experimental, energy, intensity and sample/name. Its plot is an NXdata, with the noise as"
            " intensity_errors. {missing}",
        ),
    ),
    (
        "How to read an answer",
        (
            'Files in answers/ are lists of answers. "sentence" is the answer. "because" are its reasons with'
            " value, uncertainty and unit. An uncertainty is a give-or-take: it holds about 19 times"
            ' in 20. "detail" holds every number of the picture. "identity" is a hash of all that the answer'
            " stands on. Every number in figures/ stands in a table beside its picture.",
        ),
    ),
    ("One number by hand", ("{by_hand}",)),
    ("Before you hand it on", ("{caution}",)),
)
"""Heading and paragraphs; one that begins with blanks stands as it is."""
BY_HAND = (
    'At {edge} the number compared is "{words}": {recipe} A mean takes the curve as straight between its'
    " points. It is the area under it from one end of the range to the other, over the range's width. Take"
    " the number from every curve of {edge} in spectra/. Average over the spots of each specimen, then over"
    " the specimens of each unit; experiment.yaml says which is which. Average over the units of each"
    ' arm{pairs}. Subtract "{control}" from "{treated}".'
    " answers/real.json gives {value}, give or take {give_or_take}."
)
PAIRS = ", of those whose pair is whole"
RECIPES = {
    "ratio": "the mean absorption from {0}, over that from {1}.",
    "height": "the mean absorption from {0}.",
}
NOTHING_BY_HAND = "No feature with a simple recipe was declared; compare a curve with its raw files."
FREE_WORDS = (
    "In people's own words it holds {told}, and comments in experiment.yaml."
    " Read them for names before you hand it on."
)
NO_FREE_WORDS = "It holds no free words but those of experiment.yaml. Read its comments for names."
CURTAIN = "The curtain is still drawn, and this envelope says which arm is which."


def readme(parts: Mapping[str, str]) -> str:
    """The whole README, in lines that any screen can show; `parts` fill its blanks."""
    said = [f"{TITLE}\n{'=' * len(TITLE)}"]
    for heading, paragraphs in README:
        said += [f"\n{heading.upper()}"] if heading else []
        said += [_in_lines(paragraph.format(**parts)) for paragraph in paragraphs]
    return "\n\n".join(part for part in said if part) + "\n"


def _in_lines(text: str) -> str:
    return text.rstrip() if text.startswith(" ") else textwrap.fill(" ".join(text.split()), WIDE)


def listing(names: Sequence[str]) -> str:
    """One line for each file at the top and each folder."""
    files = [name for name in names if "/" not in name]
    folders = dict.fromkeys(f"{name.partition('/')[0]}/" for name in names if "/" in name)
    width = max(map(len, (*files, *folders)), default=0)
    return "\n".join(f"    {name:{width}}  {SAYS.get(name, 'a file')}" for name in (*files, *folders))


def free_words(notes: int, claims: int, reasons: int) -> str:
    """A caution beside what people typed."""
    held = (("note", notes), ("claim", claims), ("reason", reasons))
    told = [f"{count(number)} {name}{'' if number == 1 else 's'}" for name, number in held if number]
    if not told:
        return NO_FREE_WORDS
    return FREE_WORDS.format(told=" and ".join(told))


def unknown_fields(fields: Sequence[str]) -> str:
    """Which required fields nobody stated."""
    return f"Not stated by anybody, and written so: {', '.join(fields)}." if fields else ""


def packed(path: str, files: int, size: int) -> str:
    """What was written where."""
    return f"{path}: {files} files, {size / 1e6:.1f} MB."


# --- proved ------------------------------------------------------------------------------------------------

BETWEEN = "between its files"
AS_PACKED, CHANGED, GONE = "as it was packed", "other bytes", "not there"
NOT_PACKED, STRANGE = "nothing", "a file that nobody packed"
DAMAGED = "archive damaged"
HASH = "SHA-256"
ACCEPTED, OTHER_TEXT = "the text that was accepted last", "another text"
EVERY_LINE, LINE_GONE = "every line, in order", "a line that is missing"
NOT_MADE, MADE_HERE = "not made here", "made here"
A_DESCRIPTION, UNREADABLE = "a description", "one that cannot be read"
ITS_HASH, ANOTHER_HASH = "its hash", "another"
ASK_AGAIN = "Ask for another copy; keep this one."
LINK_NAMES = {
    "archive": "archive",
    "files": "files",
    "book": "book and raw bytes",
    "answers": "answers, computed once more",
    "curves": "curves, computed once more",
    "figures": "pictures and their numbers",
    "documents": "documents",
    "description": "description",
}
STATE_WORDS = {
    "holds": "holds",
    "to-the-digits": "holds to the printed digits",
    "breaks": "BREAKS HERE",
    "not-reached": "not reached",
}
CHECKED = {
    "files": "files with their hashes",
    "book": "lines",
    "answers": "files",
    "curves": "files",
    "figures": "files",
    "documents": "files",
    "description": "files described",
}
MOST_LINES = 12
"""Differences printed of one link; all of them stand in the JSON."""


def proved(proof: Proof) -> list[str]:
    """The chain in lines: each link, and beneath a broken one what differs."""
    lines = [_head(proof)]
    for link in proof.links:
        told = f" ({link.checked} {CHECKED[link.code]})" if link.checked and link.code in CHECKED else ""
        lines.append(f"  {LINK_NAMES[link.code]}: {STATE_WORDS[link.state]}{told}")
        lines += [f"    {difference(one)}" for one in link.differences[:MOST_LINES]]
        more = len(link.differences) - MOST_LINES
        lines += [f"    and {more} more"] if more > 0 else []
    return lines


def _head(proof: Proof) -> str:
    by = f"packed by edgeshift {proof.version or 'of unknown version'}, computed once more by {proof.here}"
    return f"{proof.envelope}: {'the chain holds' if proof.holds else 'the chain is broken'}; {by}."


def difference(one: Difference) -> str:
    """One difference in a line."""
    thing = f"{one.file}, {one.where}" if one.file else one.where
    return f"{thing}: {one.packed} -> {one.found}"


def broken(link: Link) -> tuple[str, str]:
    """What the first broken link needed, and what was found."""
    first = link.differences[0]
    if link.code == "archive":
        return "every byte as it was packed", DAMAGED
    thing = f"{first.file}, {first.where}" if first.where not in ("bytes", "file") else first.file
    if link.code == "files":
        return f"{first.file} {first.packed}", first.found
    return f"{thing}: {first.packed}", first.found
