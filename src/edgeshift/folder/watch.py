"""Follow a folder that fills, read-only: which files in it are finished, and which still grow.

Growing   what is known of every file, pure: told what was seen, it says what is finished
Watch     tells it, by notification on a local disk and by looking again elsewhere
AtRest    the same of one file that people edit
"""

from __future__ import annotations

import os
import queue
import time
from collections.abc import Callable, Hashable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from watchdog.events import FileClosedEvent, FileMovedEvent, FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer

from edgeshift.errors import FolderRefused
from edgeshift.folder.shares import on_network_share

STILL_S, STILL_ON_SHARE_S = 2.0, 1.0
"""A file that nobody reports closed counts as finished when it has not changed for so long: longer than most
dwells (common practice, no source). A share reports nothing, so nobody waits twice as long for every file."""
LOOK_S, LOOK_ANYWAY_S = 0.25, 2.0
"""How often a share is looked at; and a local disk, in case a notification was lost."""
EDITED_S, GONE_S = 0.5, 2.0
"""A text that people edit is read when it has not changed for so long: editors empty a file before they fill
it, or move it away and write another in its place."""
UNFINISHED = (".part", ".tmp", ".temp", ".partial", ".crdownload", ".swp", ".lock")
"""Names that say themselves that they are not done (common practice, no source)."""


class Seen(NamedTuple):
    """A file as the disk shows it."""

    size: int
    modified_ns: int


@dataclass(frozen=True)
class _File:
    seen: Seen
    since: float
    begun: float
    closed: bool = False
    closes: int = 0
    done: Seen | None = None


class Running(NamedTuple):
    """A file that still grows: its name inside the folder, its bytes, and since how many seconds."""

    name: str
    size: int
    for_s: float


class Growing:
    """What is known of every file. Times are seconds of one clock that never goes back."""

    def __init__(self, still_s: float = STILL_S) -> None:
        self._still_s = still_s
        self._files: dict[str, _File] = {}
        self._reopened = False

    def saw(self, name: str, seen: Seen, now: float) -> None:
        """A file stands there like that."""
        old = self._files.get(name)
        if old is None:
            self._files[name] = _File(seen, now, now)
        elif seen != old.seen:
            # whoever closed it has come back to it: closing does not mean finished in this folder
            self._reopened |= old.closes > 0
            self._files[name] = replace(old, seen=seen, since=now, closed=False)

    def closed(self, name: str, seen: Seen, now: float) -> None:
        """Its writer closed it, or moved it there whole."""
        self.saw(name, seen, now)
        file = self._files[name]
        self._files[name] = replace(file, closed=True, closes=file.closes + 1)

    def gone(self, present: Iterable[str]) -> None:
        """Only these are still there."""
        kept = set(present)
        self._files = {name: file for name, file in self._files.items() if name in kept}

    def finished(self, now: float) -> list[str]:
        """The files that are finished and were not told yet, oldest first."""
        ready = [name for name, file in self._files.items() if self._is_ready(file, now)]
        for name in ready:
            self._files[name] = replace(self._files[name], done=self._files[name].seen)
        return sorted(ready, key=lambda name: (self._files[name].seen.modified_ns, name))

    def not_yet(self, name: str, now: float) -> None:
        """A file that was told finished says itself that more will come: it grows on."""
        if name in self._files:
            self._files[name] = replace(self._files[name], done=None, closed=False, since=now)

    def told(self, name: str) -> None:
        """A file counts as finished as it stands now, whatever else is known."""
        if name in self._files:
            self._files[name] = replace(self._files[name], done=self._files[name].seen)

    def begun_after(self, name: str) -> list[str]:
        """Files that were not there before this one, and were written later, newest first."""
        mine = self._files.get(name)
        later = {
            other: file.seen.modified_ns
            for other, file in self._files.items()
            if mine and file.begun >= mine.begun and file.seen.modified_ns > mine.seen.modified_ns
        }
        return sorted(later, key=lambda other: -later[other])

    def running(self, now: float) -> tuple[Running, ...]:
        """The files that still grow."""
        return tuple(
            Running(name, file.seen.size, now - file.begun)
            for name, file in self._files.items()
            if file.seen != file.done
        )

    def _is_ready(self, file: _File, now: float) -> bool:
        if file.seen == file.done or file.seen.size == 0:
            return False
        if file.closed and not self._reopened:
            return True
        return now - file.since >= self._still_s


class Watch:
    """Follows `directory` and everything beneath it; nothing in it is ever opened for writing.

    `polled` looks again and again instead of waiting for notifications; None decides by the disk: shares
    of other machines send none. Raises FolderRefused where there is no such folder.
    """

    def __init__(self, directory: str | Path, polled: bool | None = None) -> None:
        self.directory = Path(directory).resolve()
        if not self.directory.is_dir():
            raise FolderRefused(
                str(directory), "a folder that fills", "no such folder", "Name the folder of the raw files."
            )
        self.polled = on_network_share(self.directory) if polled is None else polled
        self._growing = Growing(STILL_ON_SHARE_S if self.polled else STILL_S)
        self._notices: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._looked = float("-inf")
        self._observer = None if self.polled else self._observing()

    def finished(self, wait_s: float) -> list[Path]:
        """Wait at most `wait_s` for news, then name every file that is finished since last asked."""
        for name in self._news(min(wait_s, LOOK_S)):
            seen = _seen(self.directory / name)
            if seen:
                self._growing.closed(name, seen, time.monotonic())
        self._look()
        return [self.directory / name for name in self._growing.finished(time.monotonic())]

    @property
    def running(self) -> tuple[Running, ...]:
        """The files that still grow."""
        return self._growing.running(time.monotonic())

    def not_yet(self, path: Path) -> None:
        """This one was told finished, but more of it will come."""
        self._growing.not_yet(self._name(path), time.monotonic())

    def begun_after(self, path: Path) -> list[Path]:
        """Files that were begun after this one, newest first: perhaps its writer went on to one of them."""
        return [self.directory / name for name in self._growing.begun_after(self._name(path))]

    def told(self, name: str) -> None:
        """This one is known to be finished as it stands."""
        self._growing.told(name)

    def _name(self, path: Path) -> str:
        return os.path.relpath(path, self.directory)

    def close(self) -> None:
        """Stop following."""
        if self._observer:
            self._observer.stop()
            self._observer.join()

    def _observing(self):
        observer = Observer()
        observer.schedule(_Notices(self.directory, self._notices), str(self.directory), recursive=True)
        observer.start()
        return observer

    def _news(self, wait_s: float) -> Iterator[str]:
        """Names of files that were closed. The first is waited for, the others are there already."""
        with suppress(queue.Empty):
            yield from filter(None, [self._notices.get(timeout=wait_s)])
            while True:
                yield from filter(None, [self._notices.get_nowait()])

    def _look(self) -> None:
        """Look at the whole folder, where that is due."""
        now = time.monotonic()
        due = LOOK_S if self.polled or self._growing.running(now) else LOOK_ANYWAY_S
        if now - self._looked < due:
            return
        self._looked = now
        present = dict(_files(self.directory))
        self._growing.gone(present)
        for name, seen in present.items():
            self._growing.saw(name, seen, now)


class AtRest:
    """One file that people edit with whatever they like; `now` gives seconds of a steady clock."""

    def __init__(self, path: Path, now: Callable[[], float] = time.monotonic) -> None:
        self._path, self._now = path, now
        self._last: Hashable = (_seen(path), None)
        self._since, self._told = now(), True

    def news(self, also: Hashable = None) -> bool:
        """Whether it has come to rest in a state that was not told yet; `also` is part of that state."""
        seen, now = _seen(self._path), self._now()
        if (seen, also) != self._last:
            self._last, self._since, self._told = (seen, also), now, False
        if self._told or now - self._since < (EDITED_S if seen else GONE_S):
            return False
        self._told = True
        return True


class _Notices(FileSystemEventHandler):
    """Passes on the names of files that were closed or moved into place, and a nudge for any other change."""

    def __init__(self, directory: Path, notices: queue.SimpleQueue) -> None:
        self._directory, self._notices = directory, notices

    def on_any_event(self, event: FileSystemEvent) -> None:
        """One notification of the system."""
        if event.is_directory:
            return
        if isinstance(event, FileClosedEvent | FileMovedEvent):
            path = event.dest_path if isinstance(event, FileMovedEvent) else event.src_path
            name = os.path.relpath(os.fsdecode(path), self._directory)
            self._notices.put(name if _is_one(name) else None)


def _files(directory: Path) -> Iterator[tuple[str, Seen]]:
    """Every file beneath that could be raw, by its name inside the folder."""
    waiting = [directory]
    while waiting:
        with suppress(OSError), os.scandir(waiting.pop()) as entries:
            for entry in entries:
                with suppress(OSError):
                    name = os.path.relpath(entry.path, directory)
                    if entry.is_dir(follow_symlinks=False) and not entry.name.startswith("."):
                        waiting.append(Path(entry.path))
                    elif entry.is_file(follow_symlinks=False) and _is_one(name):
                        at = entry.stat()
                        yield name, Seen(at.st_size, at.st_mtime_ns)


def _seen(path: Path) -> Seen | None:
    try:
        at = path.stat()
    except OSError:
        return None
    return Seen(at.st_size, at.st_mtime_ns)


def _is_one(name: str) -> bool:
    """Whether a name could be a raw file: not hidden, not said to be unfinished, inside the folder."""
    parts = Path(name).parts
    hidden = any(part.startswith(".") for part in parts)
    return bool(parts) and not hidden and not name.lower().endswith((*UNFINISHED, "~"))
