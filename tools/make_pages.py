"""Write everything in the docs that the tool itself can tell, or say what is stale.

python tools/make_pages.py           write: look-up pages, pictures, outputs of the sessions shown
python tools/make_pages.py --check   write nothing; end with 1 and the names of stale files
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tools"))

from lookup_pages import pages  # noqa: E402
from sessions import loose, replayed  # noqa: E402
from twenty_shifts import picture  # noqa: E402

SESSIONS = (
    "README.md",
    "docs/tour.md",
    *sorted(f"docs/how-to/{p.name}" for p in (ROOT / "docs/how-to").glob("*.md")),
)
"""Pages that show what the tool prints."""
PICTURES = {
    "docs/pictures/real.svg": "riverbank/results/real-Al_K-fired.svg",
    "docs/pictures/all-edges.svg": "riverbank/results/real-all-edges.svg",
    "docs/pictures/trust.svg": "riverbank/results/trust-all-edges.svg",
}
"""Pictures that the README's session made on the way."""


def exact() -> dict[str, str]:
    """Files that must agree to the letter."""
    return {**pages(), "docs/why/twenty-shifts.svg": picture()}


def measured(page: str) -> dict[str, str]:
    """A page with what its blocks print now, and the pictures made on the way: their words must agree."""
    with tempfile.TemporaryDirectory(prefix="edgeshift-docs-") as room:
        made = {page: replayed(text_of(page), Path(room))}
        if page == "README.md":
            made |= {name: (Path(room) / drawn).read_text("utf-8") for name, drawn in PICTURES.items()}
    return made


def text_of(name: str) -> str:
    """A file of the repository as it stands; empty where there is none."""
    path = ROOT / name
    return path.read_text(encoding="utf-8") if path.is_file() else ""


def stale() -> dict[str, str]:
    """Name -> new text of every file that is missing or out of date."""
    old = {name: text for name, text in exact().items() if text_of(name) != text}
    for page in SESSIONS:
        old |= {name: text for name, text in measured(page).items() if loose(text_of(name)) != loose(text)}
    return old


def main() -> int:
    """Write or check."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--check", action="store_true")
    check = parser.parse_args().check
    found = stale()
    for name, text in found.items():
        print(f"{'stale' if check else 'written'}: {name}")
        if not check:
            (ROOT / name).parent.mkdir(parents=True, exist_ok=True)
            (ROOT / name).write_text(text, encoding="utf-8")
    return 1 if check and found else 0


if __name__ == "__main__":
    sys.exit(main())
