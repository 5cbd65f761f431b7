"""Documents lie beside the book; a new one takes the place of the last."""

from edgeshift.folder.documents import put_documents
from edgeshift.folder.experiment_folder import ExperimentFolder


def test_a_document_takes_the_place_of_the_last_and_others_stay(tmp_path):
    text, when = "question: which clay?\n", "2026-03-01T08:00:00.000Z"
    folder = ExperimentFolder.create(tmp_path / "shift", text, when)
    put_documents(folder, {"report.pdf": b"one", "poster.pdf": b"two"})
    paths = put_documents(folder, {"report.pdf": b"three"})
    assert [path.name for path in paths] == ["report.pdf"]
    folder.close()
    there = {path.name: path.read_bytes() for path in (folder.path / "documents").iterdir()}
    assert there == {"report.pdf": b"three", "poster.pdf": b"two"}
