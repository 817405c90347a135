"""Every single change of every row and file of a store of fifty visits, one after the other, each looked for.

``python -m tests.benchmarks.tamper_store`` takes a good while and prints how many changes were made and which, if any,
``verify`` did not find; then a cut tail, a deleted visit and a rewritten chain against a kept digest.
"""

from __future__ import annotations

import argparse
import tempfile
from pathlib import Path

from journal.domain.visit import Visit
from journal.keep import Place, Store
from tests.keep.tampering import copy_of, drop_guards, open_for_tampering, try_every_change, try_every_file
from tests.keep.test_verify import cut_tail, look, rewrite
from tests.keep.visits import a_sound, a_visit, spoken


def fill(work: Path, count: int) -> tuple[Path, str]:
    """Make a store of ``count`` visits, some corrected, blanked, attached to, brought in; return folder and head."""
    sound, picture = a_sound(work, "larder.wav"), a_sound(work, "plate.jpg", b"picture")
    with Store.open(work / "other") as other:
        brought = other.add_visit(Visit("", "", title="brought in"), {})
        bundle = other.export_bundle(brought.code, work / "visit.zip")
    with Store.open(work / "store") as store:
        store.import_bundle(bundle)
        for number in range(1, count):
            few = (spoken("twenty four volts"), spoken("coil iced", index=1, start=10.0))
            visit = store.add_visit(a_visit(utterances=few), {"r1": sound})
            if number % 3 == 0:
                store.correct(visit.code, "reading-1", {"value": "230"}, by="Ola", why="misheard", judge=lambda v: v)
            if number % 5 == 0:
                store.attach(visit.code, picture, by="Ola", caption="name plate")
            if number % 7 == 0:
                store.blank(visit.code, Place("r1", 10.0, 10.4), by="Ola", why="private")
            if number % 11 == 0:
                store.sign_off(visit.code, by="office")
        assert store.verify().ok
        return store.folder, store.head()


def delete_visit(folder: Path) -> None:
    """Take one visit out of every table and out of the ledger."""
    connection = open_for_tampering(folder)
    back = drop_guards(connection)
    tables = connection.execute(
        "SELECT m.name FROM sqlite_master m JOIN pragma_table_info(m.name) c ON c.name = 'visit' WHERE m.type = 'table'"
    ).fetchall()
    for table in tables:
        connection.execute(f"DELETE FROM {table['name']} WHERE visit = 7")
    for statement in back:
        connection.execute(statement)
    connection.close()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--visits", type=int, default=50)
    arguments = parser.parse_args()
    if arguments.visits < 8:
        parser.error("the seventh visit is deleted, so there have to be eight")
    with tempfile.TemporaryDirectory() as name:
        work = Path(name)
        folder, head = fill(work, arguments.visits)
        for what, change, against in (
            ("a deleted visit", delete_visit, None),
            ("a cut tail, against the head", cut_tail, head),
            ("a rewritten chain, against the head", lambda f: rewrite(f, "UPDATE readings SET value = '231'"), head),
        ):
            copy = copy_of(folder, work / "copy")
            change(copy)
            print(f"{what}: {'NOT FOUND' if look(copy, against).ok else 'found'}", flush=True)
        tried, missed = try_every_file(folder)
        print(f"files: {tried} changes, {len(missed)} not found {missed[:5]}", flush=True)
        tried, missed = try_every_change(
            folder, lambda n: print(f"  {n} rows changed", flush=True) if n % 2000 == 0 else None
        )
        print(f"rows: {tried} changes, {len(missed)} not found {missed[:5]}", flush=True)


if __name__ == "__main__":
    main()
