"""What is said when there is room for so many words: the needful first, the order kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from explainer.words.script.readaloud import said_words


@dataclass(frozen=True)
class Piece:
    """A sentence or two that are said together or not at all."""

    rank: int
    """1 is always said; of the others the lower ranks go in first."""
    text: str
    paragraph: int = 1
    brief: str = ""
    """Said instead where the whole does not fit."""


def fitted(pieces: Sequence[Piece], words: float) -> tuple[str, ...]:
    """The paragraphs of all pieces that fit into ``words`` spoken words, in the order given.

    A piece that does not fit is passed over; a shorter one after it may still go in.
    """
    kept: dict[int, str] = {}
    for i in sorted(range(len(pieces)), key=lambda n: pieces[n].rank):
        piece = pieces[i]
        for text in (t for t in (piece.text, piece.brief) if t):
            length = said_words(text)
            if piece.rank == 1 or length <= words:
                kept[i] = text
                words -= length
                break
    texts: dict[int, list[str]] = {}
    for i in sorted(kept):
        texts.setdefault(pieces[i].paragraph, []).append(kept[i])
    return tuple(" ".join(said) for said in texts.values())
