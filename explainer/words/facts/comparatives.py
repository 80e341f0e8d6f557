"""Direction words: what more and less of a measure are called, whichever form an author chose.

``more_is`` may be a comparative (``rougher``) or a noun phrase (``more hook``); sentences need
"the balls came out rougher" and "the balls came out with more hook".
"""

from __future__ import annotations

from dataclasses import dataclass

from explainer.study.description.sources import Measure
from explainer.words.phrases.sandbox import named

_QUANTIFIERS = ("more ", "less ", "fewer ", "higher ", "lower ", "a higher ", "a lower ")

#: Nouns that are verbs too: a ball with more hook hooks more.
_DOES = {"hook": ("hook", "hooks", "hooked", "hooking")}

#: Verbs and nouns by direction; ``any`` change that is neither reads as a move.
_WORDS = {
    "fell": ("fell", "rose"),
    "drop": ("drop", "rise"),
    "lost": ("lost", "gained"),
    "lower": ("lower", "higher"),
    "down": ("down", "up"),
    "falling": ("falling", "climbing"),
}


def up_or_down(told: str, slope: float) -> str:
    """Which way a slope goes that is told as a bare size; empty where it is told as none."""
    return _WORDS["down"][slope > 0] if any(c.isdigit() for c in told) else ""


@dataclass(frozen=True)
class Word:
    """One end of a measure's scale, in the forms sentences need."""

    alone: str
    """``rougher``, ``more hook``."""
    noun: bool

    @property
    def _verb(self) -> tuple[str, ...]:
        """The forms of the verb in ``more hook``; empty where there is none."""
        how, _, what = self.alone.partition(" ")
        return _DOES.get(what, ()) if self.noun and how in ("more", "less") else ()

    def _does(self, form: int) -> str:
        return f"{self._verb[form]} {self.alone.partition(' ')[0]}"

    @property
    def state(self) -> str:
        """After *came out*: ``rougher``, ``with more strikes``, ``hooking more``."""
        if self._verb:
            return self._does(3)
        return f"with {self.alone}" if self.noun else self.alone

    @property
    def tended(self) -> str:
        """After *tended to*: ``be rougher``, ``have more strikes``, ``hook more``."""
        if self._verb:
            return self._does(0)
        return f"{'have' if self.noun else 'be'} {self.alone}"

    @property
    def has(self) -> str:
        """After *a ball that*: ``is rougher``, ``has more strikes``, ``hooks more``."""
        if self._verb:
            return self._does(1)
        return f"{'has' if self.noun else 'is'} {self.alone}"

    @property
    def gets(self) -> str:
        """After *a ball that*: ``gets rougher``, ``ends up with more strikes``."""
        if self._verb:
            return f"ends up {self._does(3)}"
        return f"ends up with {self.alone}" if self.noun else f"gets {self.alone}"

    @property
    def get(self) -> str:
        """After *does a ball*: ``get rougher``, ``end up with more strikes``."""
        if self._verb:
            return f"end up {self._does(3)}"
        return f"end up with {self.alone}" if self.noun else f"get {self.alone}"

    @named
    def the(self, item: str) -> str:
        """After *the higher a line sits*: ``the rougher the ball``, ``the more hook``."""
        if self.alone.startswith("a "):
            quantifier, _, rest = self.alone.removeprefix("a ").partition(" ")
            return f"the {quantifier} the {rest}"
        return f"the {self.alone}" if self.noun else f"the {self.alone} the {item}"

    @property
    def toward(self) -> str:
        """After *went further*: ``towards smoother``; of a bare *higher*, ``up``."""
        plain = {"higher": "up", "more": "up", "lower": "down", "less": "down"}
        told = self._does(3) if self._verb else self.alone
        return plain.get(self.alone.casefold(), f"towards {told}")

    @property
    def got(self) -> str:
        """``got rougher``, ``ended up with more strikes``."""
        if self._verb:
            return f"ended up {self._does(3)}"
        return f"ended up with {self.alone}" if self.noun else f"got {self.alone}"

    @named
    def ask(self, items: str) -> str:
        """A question without its mark: ``are rougher balls harder``, of ``those(…)`` balls."""
        if self._verb:
            return f"do {items} {self._does(0)}"
        return f"do {items} have {self.alone}" if self.noun else f"are {items} {self.alone}"

    @named
    def those(self, items: str) -> str:
        """``rougher balls``, ``balls with more strikes``, ``balls that hook more``."""
        if self._verb:
            return f"{items} that {self._does(0)}"
        return f"{items} with {self.alone}" if self.noun else f"{self.alone} {items}"


def word(measure: Measure, term: str, side: int) -> Word:
    """The word for more (side 1) or less (side −1) of a measure."""
    given = measure.more_is if side > 0 else measure.less_is
    if not given:
        return Word(f"a {'higher' if side > 0 else 'lower'} {term}", noun=True)
    head = given.casefold()
    for what, (plain, does, *_) in _DOES.items():  # "hooks more" is "more hook"
        how = head.removeprefix(f"{does} ").removeprefix(f"{plain} ")
        if how != head and how in ("more", "less"):
            return Word(f"{how} {what}", noun=True)
    start = next((q for q in _QUANTIFIERS if head.startswith(q)), "")
    rest = head.removeprefix(start).split()
    named = {w.removesuffix("s") for w in term.casefold().split()}
    several = start.startswith("fewer") or (bool(rest) and rest[-1][-1:] == "s" != rest[-1][-2:-1])
    noun = bool(start) and (several or any(w.removesuffix("s") in named for w in rest))
    return Word(given, noun)


def moves(sign: int) -> dict[str, str]:
    """fell, drop, lost, lower, down, falling: in the direction of ``sign``."""
    return {name: pair[1 if sign > 0 else 0] for name, pair in _WORDS.items()}
