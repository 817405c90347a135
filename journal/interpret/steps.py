"""The steps of understanding in their fixed order, as a spaCy pipeline.

    document    heard words -> Doc, one token a word; phrases of the vocabulary found in one pass
    corrections 'make that', 'scratch that'
    facts       named facts of the record: work order, arrival, who was told, known sites and customers
    plates      spelled model and serial numbers
    idioms      phrases whose words mean nothing here
    refrigerants
    equipment   machines and their numbers
    components  parts and places, longest first ('suction line' before 'line one')
    letters     'o l' on a meter
    points      pairs, groups, sides; their digits are gone before numbers are read
    pronouns    'this one', 'fifty fifty'
    names       numbers that name, date, time, price, dial; tolerances
    lookalikes  numbers with a unit or a place that no meter showed: a meter's range, a distance, goods by weight
    counts      numbers of things, sizes of parts
    reconsidered  idle numbers given back that the tagger is sure were read; names parted from readings behind them
    amounts     numbers with units, ranges, bounds
    repeats     'the same' as the number before
    spelled     a number said again by its digits: 'four twelve, four one two'
    states      open, shorted, nothing, present
    weak        'no', 'sorry', 'actually' before what was just claimed
    kinds       'superheat', 'amps'
    work        what was done, with its amounts

Each claims words that no step before it took; ``assemble`` makes readings of the claims.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import TYPE_CHECKING

from journal.domain.speech import Utterance
from journal.interpret.board import Board, Hit, find_phrases
from journal.interpret.context import Hints
from journal.interpret.corrections import claim_strong_corrections, claim_weak_corrections
from journal.interpret.document import Piece, pieces_of
from journal.interpret.idle.counts import claim_counts
from journal.interpret.idle.lookalikes import claim_lookalikes
from journal.interpret.idle.not_readings import claim_idioms, claim_names, claim_pronouns
from journal.interpret.idle.reconsidered import reconsider
from journal.interpret.numbers.around import claim_bands
from journal.interpret.numbers.grouping import claim_amounts
from journal.interpret.numbers.repeats import claim_repeats, claim_spelled_again
from journal.interpret.places.equipment import claim_equipment
from journal.interpret.places.parts import claim_components
from journal.interpret.places.pointing import claim_points
from journal.interpret.seen.facts import claim_facts
from journal.interpret.seen.plates import claim_plates
from journal.interpret.seen.refrigerants import claim_refrigerants
from journal.interpret.seen.states import claim_spelled_states, claim_states
from journal.interpret.seen.work import claim_work
from journal.interpret.vocabulary import small_words

if TYPE_CHECKING:
    from spacy.language import Language
    from spacy.tokens import Doc


def claim_kinds(board: Board) -> None:
    """Claim words for a kind of quantity that no unit or part took."""
    for hit in board.found("kinds"):
        behind = board.owner[hit.last + 1] if hit.last + 1 < len(board.pieces) else None
        machine = behind is not None and behind.label == "equipment"
        if machine and board.word(hit.first - 1) in small_words("of_a_class"):
            continue  # 'a low temperature reach in': which machine it is, and nothing measured
        board.claim("kind", hit.first, hit.last, hit.name, "kind of quantity")


def _bands(board: Board) -> None:
    claim_bands(board)


def _amounts(board: Board) -> None:
    claim_amounts(board)


STEPS: tuple[tuple[str, Callable[[Board], None]], ...] = (
    ("corrections", claim_strong_corrections),
    ("facts", claim_facts),
    ("plates", claim_plates),
    ("idioms", claim_idioms),
    ("refrigerants", claim_refrigerants),
    ("equipment", claim_equipment),
    ("components", claim_components),
    ("letters", claim_spelled_states),
    ("points", claim_points),
    ("pronouns", claim_pronouns),
    ("names", claim_names),
    ("lookalikes", claim_lookalikes),
    ("bands", _bands),
    ("counts", claim_counts),
    ("reconsidered", reconsider),
    ("amounts", _amounts),
    ("repeats", claim_repeats),
    ("spelled", claim_spelled_again),
    ("states", claim_states),
    ("weak", claim_weak_corrections),
    ("kinds", claim_kinds),
    ("work", claim_work),
)


@cache
def pipeline() -> Language:
    """Return a blank English pipeline with the steps as its components; built once."""
    import spacy
    from spacy.language import Language
    from spacy.tokens import Doc

    if not Doc.has_extension("board"):
        Doc.set_extension("board", default=None)
    nlp = spacy.blank("en")
    for name, step in STEPS:
        Language.component(f"journal_{name}", func=_component(step))
        nlp.add_pipe(f"journal_{name}")
    return nlp


def _component(step: Callable[[Board], None]) -> Callable[[Doc], Doc]:
    def run(doc: Doc) -> Doc:
        step(doc._.board)
        return doc

    return run


def phrases_in(pieces: Sequence[Piece]) -> dict[str, list[Hit]]:
    """Return every phrase of the vocabulary in an utterance's pieces, by context."""
    return find_phrases(_document(pieces))


def _document(pieces: Sequence[Piece]) -> Doc:
    from spacy.tokens import Doc

    return Doc(pipeline().vocab, words=[piece.text for piece in pieces])


def understand(utterance: Utterance, hints: Hints | None = None) -> Board:
    """Return the board of an utterance with every claim made."""
    nlp = pipeline()
    pieces: tuple[Piece, ...] = pieces_of(utterance)
    doc = _document(pieces)
    board = Board(utterance, pieces, find_phrases(doc), hints)
    doc._.board = board
    for _, component in nlp.pipeline:
        doc = component(doc)
    return board
