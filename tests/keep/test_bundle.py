"""Bundles carry a visit to another journal, without doubling, and hostile ones are refused whole."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from journal.domain.visit import Note, Visit
from journal.errors import BadInput, StoreUnusable
from journal.keep import Store
from journal.keep.blanking import Place
from journal.keep.corrections import current
from journal.keep.plain import to_plain
from tests.keep.test_corrections import judge
from tests.keep.test_store import everything
from tests.keep.visits import a_sound, a_visit, spoken


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "other") as store:
        yield store


@pytest.fixture
def bundle(store: Store, visit: Visit, tmp_path: Path) -> Path:
    store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard", judge=judge)
    store.attach(visit.code, a_sound(tmp_path, "plate.jpg", b"picture"), by="Ola", caption="plate")
    return store.export_bundle(visit.code, tmp_path / "visit.zip", {"record.html": b"<p>record</p>"})


def without_places(visit: Visit) -> Any:
    """A visit without what every store decides for itself."""
    parts = {
        "recordings": tuple(replace(part, file="") for part in visit.recordings),
        "attachments": tuple(replace(part, file="") for part in visit.attachments),
    }
    return to_plain(replace(visit, code="", **parts), defaults=True)


def test_a_visit_arrives_whole(store: Store, other: Store, visit: Visit, bundle: Path) -> None:
    report = other.import_bundle(bundle, by="B. Office")
    assert (report.outcome, report.visit_id) == ("added", visit.id)
    there = other.visit(visit.id)
    assert without_places(there) == without_places(store.visit(visit.code))
    assert other.assessments(visit.id) == store.assessments(visit.code)
    assert other.sound_path(there, "r1").read_bytes() == store.sound_path(visit, "r1").read_bytes()
    assert other.attachment_path(there, "a1").read_bytes() == b"picture"
    assert current(there).readings[0].value == 230
    assert other.verify().problems == ()
    lines = other.history(visit.id)
    assert [line.action for line in lines] == ["visit added", "corrected", "attached", "brought in"]
    assert lines[1].why == "misheard"
    assert lines[-1].by == "B. Office"
    assert other.visits(text="iced")[0].id == visit.id


def test_the_same_bundle_twice_changes_nothing(store: Store, other: Store, bundle: Path) -> None:
    other.import_bundle(bundle)
    before = everything(other.folder)
    assert other.import_bundle(bundle).outcome == "known"
    assert everything(other.folder) == before
    assert store.import_bundle(bundle).outcome == "known"


def test_what_was_added_since_comes_along(
    store: Store, other: Store, visit: Visit, bundle: Path, tmp_path: Path
) -> None:
    other.import_bundle(bundle)
    store.extend(
        visit.code,
        Visit("", "", notes=(Note("follow-up", "call back", id="n2"),), utterances=(spoken("call back", "note"),)),
        by="Ola",
    )
    store.correct(visit.code, "reading-1", {"value": "231"}, by="Ola", why="again")
    store.attach(visit.code, a_sound(tmp_path, "b.jpg", b"second"), by="Ola")
    later = store.export_bundle(visit.code, tmp_path / "later.zip")
    assert other.import_bundle(later).outcome == "extended"
    there = other.visit(visit.id)
    assert without_places(there) == without_places(store.visit(visit.code))
    assert other.attachment_path(there, "a2").read_bytes() == b"second"
    assert other.assessments(visit.id) == store.assessments(visit.code)
    assert other.verify().problems == ()
    assert other.import_bundle(later).outcome == "known"
    assert other.import_bundle(bundle).outcome == "known"  # an older state brings nothing new


def test_what_was_changed_on_both_sides_is_shown_and_left_alone(
    store: Store, other: Store, visit: Visit, bundle: Path, tmp_path: Path
) -> None:
    other.import_bundle(bundle)
    store.correct(visit.code, "reading-1", {"value": "231"}, by="Ola", why="again")
    other.correct(visit.id, "reading-1", {"value": "229"}, by="Office", why="paper says so")
    before = everything(other.folder)
    report = other.import_bundle(store.export_bundle(visit.code, tmp_path / "later.zip"))
    assert report.outcome == "conflict"
    assert report.differences == ("corrections: changed here and there",)
    assert everything(other.folder) == before


def test_a_visit_blanked_here_is_not_filled_again(store: Store, visit: Visit, bundle: Path) -> None:
    store.blank(visit.code, Place("r1", 10.0, 11.0), by="Ola", why="private")
    report = store.import_bundle(bundle)
    assert report.outcome == "conflict"
    assert "utterances: changed here and there" in report.differences


def test_a_code_that_is_taken_is_given_anew(store: Store, other: Store, visit: Visit, bundle: Path) -> None:
    taken = other.add_visit(a_visit(code=visit.code, recordings=()), {})
    assert taken.code == visit.code
    report = other.import_bundle(bundle)
    assert report.code != visit.code
    assert other.visit(report.code).id == visit.id


def test_the_bundle_says_what_is_in_it(store: Store, visit: Visit, bundle: Path) -> None:
    with zipfile.ZipFile(bundle) as archive:
        contents = json.loads(archive.read("bundle.json"))
        assert archive.testzip() is None
        assert set(archive.namelist()) == {*contents["files"], "bundle.json"}
        assert archive.read("record.html") == b"<p>record</p>"
    assert contents["head"] == store.head()
    assert set(contents["files"]) == {"visit.json", "record.html", "recordings/r1.wav", "attachments/a1.jpg"}


def test_a_bundle_without_its_sound_is_not_made(store: Store, visit: Visit, tmp_path: Path) -> None:
    (store.folder / visit.recordings[0].file).unlink()
    with pytest.raises(StoreUnusable, match="missing"):
        store.export_bundle(visit.code, tmp_path / "visit.zip")
    with pytest.raises(BadInput, match="name of an entry"):
        store.export_bundle(store.add_visit(Visit("", ""), {}).code, tmp_path / "visit.zip", {"../x": b""})
    assert list(tmp_path.glob("*visit.zip*")) == []


Contents = dict[str, bytes]


def repacked(bundle: Path, change: Callable[[Contents], None], *, honest: bool = True) -> Path:
    """Change the entries of a bundle; ``honest``: its list of contents is made to fit again."""
    with zipfile.ZipFile(bundle) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    change(entries)
    if honest:
        contents = json.loads(entries["bundle.json"])
        contents["files"] = {
            name: {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest()}
            for name, content in entries.items()
            if name != "bundle.json"
        }
        entries["bundle.json"] = json.dumps(contents).encode()
    with zipfile.ZipFile(bundle.with_name("changed.zip"), "w") as archive:
        for name, content in entries.items():
            archive.writestr(name, content)
    return bundle.with_name("changed.zip")


def of_visit(change: Callable[[Any], None]) -> Callable[[Contents], None]:
    def changed(entries: Contents) -> None:
        plain = json.loads(entries["visit.json"])
        change(plain)
        entries["visit.json"] = json.dumps(plain).encode()

    return changed


def of_contents(**changes: object) -> Callable[[Contents], None]:
    def changed(entries: Contents) -> None:
        entries["bundle.json"] = json.dumps(json.loads(entries["bundle.json"]) | changes).encode()

    return changed


def put(name: str, content: bytes) -> Callable[[Contents], None]:
    return lambda entries: entries.update({name: content})


HOSTILE: list[tuple[str, Callable[[Contents], None], bool]] = [
    ("path upwards", put("../../etc/cron.d/x", b"x"), True),
    ("path upwards within", put("recordings/../../x", b"x"), True),
    ("absolute path", put("/etc/passwd", b"x"), True),
    ("backslashes", put("recordings\\..\\x", b"x"), True),
    ("drive", put("C:x", b"x"), True),
    ("hidden file", put(".ssh/authorized_keys", b"x"), True),
    ("unlisted entry", put("extra.txt", b"x"), False),
    ("changed sound", put("recordings/r1.wav", b"y" * 1050), False),
    ("sound that was not heard", put("recordings/r1.wav", b"other sound"), True),
    ("sound left out", lambda entries: entries.pop("recordings/r1.wav") and None, True),
    ("visit left out", lambda entries: entries.pop("visit.json") and None, True),
    ("no list of contents", lambda entries: entries.pop("bundle.json") and None, False),
    ("list of contents is no JSON", put("bundle.json", b"[["), False),
    ("list of contents is a list", put("bundle.json", b"[]"), False),
    ("files is a number", of_contents(files=3), False),
    ("other format", of_contents(format="holiday pictures"), True),
    ("newer version", of_contents(version=2), True),
    ("visit is no JSON", put("visit.json", b"{"), True),
    ("deep JSON", put("visit.json", b"[" * 200_000), True),
    ("visit is a list", put("visit.json", b"[]"), True),
    ("unknown field", of_visit(lambda plain: plain["visit"].update(colour="red")), True),
    ("number as float", of_visit(lambda plain: plain["visit"]["readings"][0].update(value=1.5)), True),
    ("unknown unit", of_visit(lambda plain: plain["visit"]["readings"][0].update(unit="furlong")), True),
    ("id is a path", of_visit(lambda plain: plain["visit"].update(id="../../x")), True),
    (
        "two readings of one id",
        of_visit(lambda plain: plain["visit"]["readings"].append(plain["visit"]["readings"][0])),
        True,
    ),
    ("no judging", of_visit(lambda plain: plain.update(assessments=[])), True),
    (
        "correction that makes no sense",
        of_visit(lambda plain: plain["visit"]["corrections"][0].update(after="x")),
        True,
    ),
    ("recording elsewhere", of_visit(lambda plain: plain["visit"]["recordings"][0].update(file="/etc/passwd")), True),
]


@pytest.mark.parametrize(("change", "honest"), [case[1:] for case in HOSTILE], ids=[case[0] for case in HOSTILE])
def test_a_damaged_or_hostile_bundle_is_refused_whole(
    other: Store, bundle: Path, change: Callable[[Contents], None], honest: bool
) -> None:
    before = everything(other.folder)
    with pytest.raises(BadInput):
        other.import_bundle(repacked(bundle, change, honest=honest))
    after = everything(other.folder)
    after["files"] = [name for name in after["files"] if not (other.folder / str(name[0])).is_dir()]
    assert after == before


def test_names_in_a_bundle_never_become_paths(other: Store, bundle: Path, visit: Visit) -> None:
    """A recording's own name may be anything; the file is named by this store, below the visit's folder."""

    def rename(plain: Any) -> None:
        plain["visit"]["recordings"][0]["name"] = "../../../../tmp/x"

    report = other.import_bundle(repacked(bundle, of_visit(rename)))
    (recording,) = other.visit(report.code).recordings
    assert Path(recording.file).parent == Path("recordings") / visit.id
    assert (other.folder / recording.file).exists()


@pytest.mark.parametrize("content", [b"", b"not a zip", b"PK\x03\x04" + b"\x00" * 40])
def test_a_file_that_is_no_zip_is_refused(other: Store, tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.zip"
    path.write_bytes(content)
    with pytest.raises(BadInput, match=r"cannot be read|no bundle"):
        other.import_bundle(path)
    with pytest.raises(BadInput, match="cannot be read"):
        other.import_bundle(tmp_path / "missing.zip")
    with pytest.raises(BadInput, match="cannot be read"):
        other.import_bundle(tmp_path)


def test_a_cut_bundle_is_refused(other: Store, bundle: Path) -> None:
    content = bundle.read_bytes()
    for length in range(0, len(content), len(content) // 40):
        bundle.write_bytes(content[:length])
        with pytest.raises(BadInput):
            other.import_bundle(bundle)


def test_one_turned_bit_anywhere_is_refused_or_harmless(store: Store, other: Store, visit: Visit, bundle: Path) -> None:
    content = bundle.read_bytes()
    for place in range(0, len(content), max(1, len(content) // 150)):
        bundle.write_bytes(content[:place] + bytes([content[place] ^ 4]) + content[place + 1 :])
        try:
            other.import_bundle(bundle)
        except BadInput:
            continue
        # Not every bit of a zip means something (dates, attributes): then the visit is the right one.
        assert without_places(other.visit(visit.id)) == without_places(store.visit(visit.code)), place


def test_a_bomb_is_refused_before_it_is_unpacked(other: Store, tmp_path: Path) -> None:
    path = tmp_path / "bomb.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("bundle.json", b"{}")
        with archive.open("visit.json", "w") as out:
            zeros = io.BytesIO(b"0" * (1 << 20)).getvalue()
            for _ in range(300):
                out.write(zeros)
    assert path.stat().st_size < 1 << 20
    with pytest.raises(BadInput, match="larger than any visit"):
        other.import_bundle(path)


def test_a_disk_that_fills_up_while_importing_leaves_nothing(
    other: Store, bundle: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("journal.keep.files.flush", refuse)
    before = everything(other.folder)
    with pytest.raises(StoreUnusable, match="disk is full"):
        other.import_bundle(bundle)
    after = everything(other.folder)
    after["files"] = [name for name in after["files"] if not (other.folder / str(name[0])).is_dir()]
    assert after == before
