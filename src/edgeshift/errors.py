"""Every refusal edgeshift can make, as one tree.

A refusal names the thing, what was needed, what was found and the next act, in one or two short
sentences, because a host reads it standing, with gloves on.

    Refusal
    ├── FileRefused            a raw file cannot be taken as it is
    │   ├── UnreadableFile     the bytes are not a table of numbers we can read
    │   ├── NotAScan           a table, but not an absorption scan
    │   ├── UnclearColumns     a scan, but nobody said which column is what
    │   └── WhichEntry         the file holds several entries and none was chosen
    ├── TextRefused            an experiment, profile or recipe text does not hold
    ├── FolderRefused          the experiment folder cannot be used as it is
    ├── EnvelopeRefused        an envelope cannot be packed, or is not what was packed
    ├── NoteRefused            an act of a person cannot enter the book
    └── QuestionRefused        a question that cannot be asked of this experiment
"""

from __future__ import annotations


class Refusal(Exception):
    """A kind no: what it is about, what was needed, what was found, what to do next."""

    def __init__(self, thing: str, needed: str, found: str, act: str) -> None:
        self.thing, self.needed, self.found, self.act = thing, needed, found, act
        super().__init__(f"{thing}: needed {needed}, found {found.removesuffix('.')}. {act}")


class FileRefused(Refusal):
    """A raw file cannot be taken as it is."""


class UnreadableFile(FileRefused):
    """The bytes are not a table of numbers that a reader understands."""


class NotAScan(FileRefused):
    """The file is a table, but not an absorption scan."""


class UnclearColumns(FileRefused):
    """Nobody said which column is what, and guessing would be silent."""


class WhichEntry(FileRefused):
    """The file holds several entries and none was chosen."""


class TextRefused(Refusal):
    """An experiment, profile or recipe text does not hold together."""


class FolderRefused(Refusal):
    """The experiment folder cannot be used as it is."""


class EnvelopeRefused(Refusal):
    """An envelope cannot be packed or opened, or does not hold what was packed."""


class NoteRefused(Refusal):
    """An act of a person cannot enter the book."""


class QuestionRefused(Refusal):
    """A question that cannot be asked of this experiment."""
