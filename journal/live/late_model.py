"""A speech model that loads in the background; whoever needs it first waits for it, the pages do not."""

from __future__ import annotations

import contextlib
import threading
from typing import TYPE_CHECKING

from journal.hear.endpointer import EndRule
from journal.pipeline import Rules, understand

if TYPE_CHECKING:
    from journal.hear.model_files import ModelFiles
    from journal.hear.recogniser import Recogniser
    from journal.hear.vosk_recogniser import VoskModel

#: while somebody waits for the answer; what is left open inside is read on in the next utterance
LIVE = EndRule(agreed=0.6, forced=0.9, whole=0.4)
_FIRST_WORDS = ("tag says four ten a", "suction one eighteen psi", "suction line fifty two")


class LateModel:
    """One model a process, made when the first listener is wanted."""

    def __init__(self, files: ModelFiles) -> None:
        self.name = files.name
        self._files = files
        self._lock = threading.Lock()
        self._model: VoskModel | None = None

    def listener(self, recording: str, rule: EndRule = LIVE) -> Recogniser:
        """Return a fresh listener for one recording.  Raises ``ModelUnusable``."""
        with self._lock:
            if self._model is None:
                from journal.hear.vosk_recogniser import VoskModel
                from journal.interpret.document import worth_hearing_again

                self._model = VoskModel(self._files, again=worth_hearing_again)
        return self._model.recogniser(recording, rule=rule)

    def warm(self) -> None:
        """Load model, language stage and refrigerants before anybody speaks; trouble is told to whoever does."""
        threading.Thread(target=self._warm, name="warming up", daemon=True).start()

    def _warm(self) -> None:
        from journal.domain.speech import utterance_of

        with contextlib.suppress(Exception):
            self.listener("r1")
            understand([utterance_of(line, index=n) for n, line in enumerate(_FIRST_WORDS)], rules=Rules())
