"""A real `edgeshift stage` in a process of its own, with a settings folder of its own."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

READY = "Ctrl-C ends it"


class StageProcess(NamedTuple):
    """A server that can be reached: its address, the host's way in, the guests' code."""

    process: subprocess.Popen
    address: str
    host: str
    code: str

    def kill(self) -> None:
        """kill -9."""
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()

    def rss_mb(self) -> float:
        """Memory that it holds now."""
        text = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmRSS:\s+(\d+)", text)[1]) / 1024


def start(folder: Path, settings: Path, *options: str) -> StageProcess:
    """Serve `folder`; `settings` is where the signing key stands."""
    words = [sys.executable, "-m", "edgeshift.cli", "stage", str(folder), "--lan", *options]
    process = subprocess.Popen(
        words,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env={**os.environ, "XDG_CONFIG_HOME": str(settings), "EDGESHIFT_DEBUG": "1"},
    )
    said = ""
    for line in process.stdout:
        said += line
        if READY in line:
            break
    host = re.search(r"http://127\S+/host/\S+", said)
    if not host:
        raise RuntimeError(f"the stage did not start: {said}")
    code = re.search(r"code (\d{6})", said)
    # where a machine has no network no address is printed for guests; the code is derived all the same
    return StageProcess(process, host[0].split("/host/")[0], host[0], code[1] if code else "")


@contextmanager
def staged(folder: Path, settings: Path, *options: str) -> Iterator[StageProcess]:
    """The same until the block ends; then it is stopped as Ctrl-C does."""
    running = start(folder, settings, *options)
    try:
        yield running
    finally:
        if running.process.poll() is None:
            running.process.send_signal(signal.SIGINT)
        running.process.wait(20)
        running.process.stdout.close()
