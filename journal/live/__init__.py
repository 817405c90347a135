"""The live session: sound on disk first, then words, readings and verdicts as they are understood.

    chunk -> SoundLog (on disk) -> Hearing (words) -> Understander (readings, verdicts) -> events

``Capture`` is one visit being spoken; ``Captures`` holds all that go on in this process, finds those a crash left
behind, and hears them again from the sound on disk.  Pages and terminal are two faces of the same capture.
"""

from journal.live.capture import Capture
from journal.live.captures import Captures
from journal.live.frames import Frame, Kind

__all__ = ["Capture", "Captures", "Frame", "Kind"]
