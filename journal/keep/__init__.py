"""4. Keep: one SQLite file and the sound beside it; complete, append-only, and able to show that nobody changed it.

``Store`` is the way in.  Below it: ``database`` holds every connection, ``migrations`` and ``schema/`` the tables,
``rows`` the meeting of domain types and rows, ``ledger`` and ``seals`` the chain, ``files`` the sound.
"""

from journal.keep.overview import VisitSummary
from journal.keep.store import Store

__all__ = ["Store", "VisitSummary"]
