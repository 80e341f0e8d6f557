"""Words for somebody: what heads a column of people, or is the word for one of them."""

from __future__ import annotations

#: Words for somebody, in the singular.
PERSONS = frozenset(
    ["adult", "amateur", "athlete", "beginner", "bowler", "boy", "captain", "child", "coach",
     "colleague", "competitor", "contestant", "customer", "dad", "driller", "employee",
     "entrant", "friend", "girl", "guest", "guy", "junior", "kid", "lady", "left-hander",
     "lefty", "man", "member", "mom", "opponent", "owner", "participant", "partner", "patient",
     "people", "person", "player", "pro", "professional", "pupil", "right-hander", "righty",
     "senior", "shooter", "somebody", "someone", "student", "sub", "substitute", "teammate",
     "visitor", "volunteer", "winner", "woman", "worker", "youth", "spieler", "spielerin", "joueur",
     "joueuse", "jugador", "jugadora"]
)  # fmt: skip
#: Heads of columns of people's names, or of parts of them.
OF_NAMES = frozenset(
    ["family name", "first name", "firstname", "forename", "full name", "fullname", "given name",
     "last name", "lastname", "nachname", "prenom", "prénom", "surname", "vorname"]
)  # fmt: skip
_LABELS = frozenset({"id", "no", "nr", "number", "name", "code", "initials", "#"})


def is_person(word: str) -> bool:
    """Whether a word for one item, or the name of a column, means somebody: league bowler,
    bowler_id, players."""
    whole = word.replace("_", " ").casefold().split()
    parts = [part for part in whole if part not in _LABELS]
    last = parts[-1] if parts else ""
    named = " ".join(whole) in OF_NAMES
    return named or last in PERSONS or last.removesuffix("s") in PERSONS
