"""What was let out to a customer stands in the ledger: what, who, when, and which copy."""

from __future__ import annotations

import pytest

from journal.domain.visit import Visit
from journal.errors import BadInput
from journal.keep import Store

DIGEST = "ab" * 32


def test_a_release_is_a_line_of_the_ledger(store: Store, visit: Visit) -> None:
    before = store.head()
    store.record_release(visit.code, {"transcript", "notes"}, form="html", sha256=DIGEST, by="Ann")
    *_, line = store.history(visit.code)
    assert (line.action, line.by) == ("released to the customer", "Ann")
    assert line.why == f"notes, transcript; html, SHA-256 {DIGEST}"
    assert store.verify(before).ok, "the head from before is still found"
    assert store.verify().ok
    assert store.visit(visit.code) == visit, "the record itself is as it was"


@pytest.mark.parametrize(("released", "by"), [((), "Ann"), (("sound",), " "), (("sound",), "x" * 999)])
def test_nothing_or_nobody(store: Store, visit: Visit, released: tuple[str, ...], by: str) -> None:
    head = store.head()
    with pytest.raises(BadInput):
        store.record_release(visit.code, released, form="pdf", sha256=DIGEST, by=by)
    assert store.head() == head
