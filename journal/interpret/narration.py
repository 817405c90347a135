"""A visit's narration, understood utterance by utterance: the language stage's one door.

``Narration.accept`` takes the next utterance and returns everything understood so far; later words may correct or
withdraw earlier readings, whose ids stay.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from journal.domain.ids import new_id
from journal.domain.reading import Doubt, Phase, Role
from journal.domain.speech import Utterance, Word
from journal.domain.visit import Equipment, Field, Finding, Interpretation, Known, Note, WorkDone
from journal.interpret.assemble import assemble
from journal.interpret.board import Board, Claim, Hit
from journal.interpret.context import Context, Hints
from journal.interpret.evidence import words_from
from journal.interpret.places.equipment import Machine
from journal.interpret.seen.facts import fields_of, merged
from journal.interpret.seen.findings import findings_of, works_of
from journal.interpret.seen.notes import note_of, own_words, steps_of
from journal.interpret.seen.plates import spelled_whole
from journal.interpret.standing.circumstances import instrument_of
from journal.interpret.standing.roles import stands_of
from journal.interpret.standing.second_look import is_read
from journal.interpret.steps import understand
from journal.interpret.tagger.tags import EARLIER, PART_END
from journal.interpret.vocabulary import table

NAMELESS = "equipment"  # what the machine is called while nobody has named it
LINES = ("L1", "L2", "L3")
WEIGHED = ("pound", "ounce", "kilogram", "gram")
IN_A_NOTE = ("maybe no reading", "It stands in a note; only the words around it say that a meter was read.")
TYPED_PAUSE = 5.0  # seconds a line of a typed note counts for, since it has no times


@dataclass(frozen=True, slots=True)
class Step:
    """Which words became which part by which rule."""

    utterance: int
    first: int
    last: int
    words: str
    became: str
    rule: str


class Narration:
    """Understands the utterances of one visit in turn; live or from a file makes no difference."""

    def __init__(
        self, *, equipment: Sequence[Equipment] = (), refrigerant: str | None = None, known: Known | None = None
    ) -> None:
        self._context = Context()
        self._known = known
        self._fields: tuple[Field, ...] = ()
        self._machines: dict[str, Equipment] = {machine.name: machine for machine in equipment}
        self._findings: list[Finding] = []
        self._work: list[WorkDone] = []
        self._notes: list[Note] = []
        self._steps: dict[str, None] = {}
        self._recording = ""
        self._latest = ""  # the machine spoken of last
        self._met: set[str] = set()  # machines named in this narration, not given beforehand
        if refrigerant is not None:
            self._update_machine(refrigerant=refrigerant)

    def accept(self, utterance: Utterance) -> Interpretation:
        """Take the next utterance; return everything understood so far."""
        self.take(utterance)
        return self.interpretation

    @property
    def interpretation(self) -> Interpretation:
        """Everything understood so far."""
        return Interpretation(
            readings=tuple(draft.reading for draft in self._context.drafts),
            findings=tuple(self._findings),
            work=tuple(self._work),
            notes=tuple(self._notes),
            equipment=tuple(self._machines.values()),
            steps=tuple(self._steps),
            fields=self._fields,
        )

    def new_machine(self, name: str) -> str:
        """Let what follows belong to a machine of this name, whatever it is called; return how it is written.

        Where the vocabulary knows the name ('reach in two'), its type and use are known too.
        """
        context = self._context
        said = name.lower().split()
        words = tuple(Word(word, context.now, context.now) for word in said)
        board = understand(Utterance(self._recording or "r1", 0, words), self._hints()) if words else None
        claim = next(iter(board.labelled("equipment")), None) if board else None
        known: Machine | None = claim.value if claim and not claim.value.body.get("side") else None
        body: dict[str, Any] = known.body if known else {}
        if board and claim and known and claim.first == 0 and claim.last == len(board.pieces) - 1:
            name = known.name
        else:
            name = spelled_whole(said) or name
        self._machines.setdefault(name, Equipment(name, type=body.get("type"), use=body.get("use")))
        self._met.add(name)
        self._latest = context.equipment = name
        context.equipment_entry = known.entry if known else None
        context.component, context.points, context.kind = None, None, None
        return name

    def take(self, utterance: Utterance) -> Board | None:
        """Take the next utterance without building the answer; return its claims."""
        if not utterance.words:
            return None
        self._tell_time(utterance)
        context = self._context
        board = understand(utterance, self._hints())
        note = note_of(board)
        if note is not None:
            self._notes.append(note[0])
            withheld = ("amount", "state") if note[2] else ("state",) if note[0].text.startswith("so ") else ()
            own = own_words(board, note[1])
            for claim in [c for c in board.claims if c.label in withheld and note[1].first <= c.last < own]:
                board.release(claim)
                if claim.label == "amount" and is_read(board, claim.value):  # 14 of 16 in notes were read
                    doubted = replace(claim.value, doubts=(*claim.value.doubts, IN_A_NOTE))
                    board.claim("amount", claim.first, claim.last, doubted, claim.rule)
            for claim in [c for c in board.labelled("state") if _concluded(board, c, note[1])]:
                board.release(claim)
        context.instrument = instrument_of(board) or context.instrument
        assemble(board, context)
        self._machine_facts(board)
        self._record_work(board)
        self._fields = merged(self._fields, fields_of(board, context.equipment))
        if note is None or not note[2]:
            self._findings += findings_of(board, context.equipment, context.carried_component())
        for topic in steps_of(board):
            self._steps.setdefault(topic)
        context.earlier = [*context.earlier, *(piece.text for piece in board.pieces), PART_END][-EARLIER:]
        return board

    def _tell_time(self, utterance: Utterance) -> None:
        context = self._context
        if utterance.recording != self._recording:
            self._recording = utterance.recording
            context.spoken.clear()
            context.component_at -= 10_000  # a new recording starts with nothing carried over
            context.now, context.points, context.kind = 0.0, None, None
        typed = utterance.end == 0.0
        context.now = context.now + TYPED_PAUSE if typed else utterance.start

    def _hints(self) -> Hints:
        context = self._context
        unit = table("kinds")[context.mode.value]["unit"] if context.mode is not None else None
        last = context.last()
        if unit is None and last is not None:
            unit = last.reading.unit
        lines = last is not None and any(point in LINES for point in last.reading.points)
        told = [d.reading.unit for d in reversed(context.drafts) if last is not None and d.at == last.at]
        units = tuple(dict.fromkeys(unit for unit in told if unit is not None))
        set_ = last is not None and last.reading.role is Role.SETTING
        return Hints(
            unit,
            context.carried_component(),
            context.equipment_entry,
            self._known,
            units,
            lines,
            set_,
            context.spoken_lately(),
            context.circumstance_now(),
            tuple(context.earlier),
        )

    def _update_machine(self, **facts: object) -> None:
        name = self._context.equipment or next(iter(self._machines), NAMELESS)
        machine = self._machines.get(name) or Equipment(name)
        if name not in self._machines:
            self._met.add(name)
            self._latest = name
        self._machines[name] = replace(machine, **facts)  # type: ignore[arg-type]

    def _machine_facts(self, board: Board) -> None:
        """Machines named, their refrigerants, their plate numbers."""
        for claim in board.labelled("equipment", "refrigerant", "plate"):
            if claim.label == "equipment":
                self._meet_machine(claim.value)
            elif claim.label == "refrigerant":
                self._update_machine(refrigerant=claim.value)
            else:
                doubt = Doubt(
                    "spelled", f"The {claim.value.field} number was spelled aloud; check it against the plate."
                )
                name = self._context.equipment or next(iter(self._machines), NAMELESS)
                earlier = self._machines[name].doubts if name in self._machines else ()
                doubts = tuple(dict.fromkeys((*earlier, doubt)))
                self._update_machine(**{claim.value.field: claim.value.text, "doubts": doubts})

    def _meet_machine(self, machine: Machine) -> None:
        """Note a machine named; 'unit two' may be the air conditioner spoken of, a condensing unit serves a box."""
        body = machine.body
        if body.get("side"):
            return
        last = self._machines.get(self._latest)
        if machine.name not in self._machines:
            known = Equipment(machine.name, type=body.get("type"), use=body.get("use"))
            if last is not None and self._is_same(last, body):
                del self._machines[last.name]
                known = replace(last, name=machine.name, type=last.type or known.type, use=last.use or known.use)
            elif last is not None and body.get("serves") and last.use:
                known = replace(known, location=last.name, use=last.use)
            self._machines[machine.name] = known
            self._met.add(machine.name)
        self._latest = machine.name

    def _is_same(self, last: Equipment, body: dict[str, Any]) -> bool:
        """The machine met before was only called otherwise: nothing was measured on it under that name."""
        if last.name not in self._met or any(d.reading.equipment == last.name for d in self._context.drafts):
            return False
        return bool(body.get("same")) or last.name == NAMELESS

    def _record_work(self, board: Board) -> None:
        context = self._context
        for claim, done in works_of(board):
            for component in done.components or (None,):
                if done.dated and any((w.action, w.component) == (done.action, component) for w in self._work):
                    continue
                self._work.append(
                    WorkDone(
                        action=done.action,
                        component=component,
                        amount=done.amount.key if done.amount else None,
                        unit=done.unit,
                        part=done.part,
                        equipment=context.equipment,
                        done=done.done,
                        evidence=words_from(board, claim.first, claim.last),
                        id=new_id(),
                    )
                )
            context.worked = done.components
            context.weighed_at = context.now if done.unit in WEIGHED else context.weighed_at
            if done.done and done.action in table("conditions")["left_by_work"]:
                context.phase = Phase.AS_LEFT


def _concluded(board: Board, state: Claim, phrase: Hit) -> bool:
    """'run to ground two ohms ... that compressor is grounded': a conclusion from what was read, no reading."""
    read = any(claim.last < phrase.first for claim in board.labelled("amount", "state"))
    return read and phrase.first <= state.first and state.last <= phrase.last


def overheard(utterance: Utterance, before: Utterance | None = None) -> frozenset[Decimal]:
    """Return the numbers of an utterance that stand like a meter's, whether or not anything says what they measure.

    What is supposed, denied, told of another time or by a customer, and what names, counts, dates or prices, is not
    among them; ``before`` is the utterance before it, where a supposition may have begun.
    """
    narration = Narration()
    if before is not None:
        narration.take(before)
    board, context = understand(utterance, narration._hints()), narration._context
    note = note_of(board)
    if note is not None and note[2]:
        return frozenset()
    items = list(board.labelled("amount", "state"))
    stands = stands_of(board, items, context.role, context.withheld, context.asked)
    return frozenset(
        item.value.value
        for item, stand in zip(items, stands, strict=True)
        if item.label == "amount" and item.value.value is not None and stand.withheld is None
    )


def interpret(
    utterances: Iterable[Utterance],
    *,
    equipment: Sequence[Equipment] = (),
    refrigerant: str | None = None,
    known: Known | None = None,
) -> Interpretation:
    """Return everything that a finished narration says; sites and customers are chosen from the ``known``."""
    narration = Narration(equipment=equipment, refrigerant=refrigerant, known=known)
    for utterance in utterances:
        narration.take(utterance)
    return narration.interpretation


def explain(utterances: Iterable[Utterance], *, equipment: Sequence[Equipment] = ()) -> list[Step]:
    """Return which words became which part by which rule, in the order of the sentence."""
    narration, steps = Narration(equipment=equipment), []
    for utterance in utterances:
        board = narration.take(utterance)
        if board is None:
            continue
        for claim in sorted(board.claims, key=lambda claim: claim.first):
            steps.append(_step(board, claim))
        for reading in narration.interpretation.readings:
            evidence = reading.evidence
            if evidence is not None and (evidence.recording, evidence.utterance) == (
                utterance.recording,
                utterance.index,
            ):
                inferred = ", ".join(f"{what} from {source}" for what, source in reading.inferred)
                rule = f"assembled; {inferred}" if inferred else "assembled"
                steps.append(
                    Step(
                        utterance.index,
                        evidence.first,
                        evidence.last,
                        evidence.said,
                        f"{reading.role} {reading.kind}",
                        rule,
                    )
                )
    return steps


def _step(board: Board, claim: Claim) -> Step:
    first, last = board.pieces[claim.first].word, board.pieces[claim.last].word
    said = " ".join(word.text for word in board.utterance.words[first : last + 1])
    return Step(board.utterance.index, first, last, said, claim.label, claim.rule)
