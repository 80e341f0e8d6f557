"""The usual cautions, wherever a study speaks of what may hurt people or break a rule.

Every text an author wrote is looked at: claims, advice and rule, but also captions, questions,
corrections and the report's own sentences.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from explainer.claims.verdict import Judgement
from explainer.words.page.hazards import CHANGES, hazards_in

if TYPE_CHECKING:  # a site on which nothing is new loads no templates
    from explainer.words.phrases.renderer import Teller

#: Keys of a description whose values are names and places in files, not sentences.
_NAMES = frozenset({"file", "column", "id", "figure", "claim", "because", "topic", "y", "x", "unit",
                    "base_address", "measure", "table", "operator", "repeat"})  # fmt: skip


@dataclass(frozen=True)
class Cautions:
    """What to tell, in the order to tell it; ``brief`` is the same in a breath, for a voice."""

    lead: str
    told: tuple[str, ...]
    brief: str


def hazards(judgement: Judgement) -> tuple[str, ...]:
    """What the study speaks of that belongs with a caution, as ``hazards.HAZARDS`` names it."""
    found: tuple[str, ...] | None = judgement.memo.get("hazards")
    if found is None:
        found = hazards_in(texts_of(judgement))
        judgement.memo["hazards"] = found
    return found


def treats(judgement: Judgement) -> bool:
    """Whether the study speaks of changing a ball."""
    return bool(CHANGES & set(hazards(judgement)))


def cautions(judgement: Judgement, teller: Teller) -> Cautions | None:
    """The cautions of a study, None where it speaks of nothing that needs one."""
    spoken = hazards(judgement)
    if not spoken:
        return None
    changes = treats(judgement)

    def tell(name: str) -> str:
        return teller.tell([name], {}, about="caution")

    names = [*(["undone"] if changes else []), *spoken]
    told = [tell(f"caution.{name}") for name in names]
    brief = " ".join(tell(f"caution.{name}.brief") for name in spoken)
    if changes:
        told.append(tell("caution.rules"))
        brief += " " + tell("caution.rules.brief")
    return Cautions(tell("caution.lead" if changes else "caution.lead.lift"), tuple(told), brief)


def texts_of(judgement: Judgement) -> Iterator[str]:
    """Every text of the description, in order."""
    yield from _texts(judgement.study.description.model_dump(mode="python", by_alias=True))


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            if key not in _NAMES or (key == "because" and isinstance(inner, str)):
                yield from _texts(inner)
    elif isinstance(value, (list, tuple)):
        for inner in value:
            yield from _texts(inner)
