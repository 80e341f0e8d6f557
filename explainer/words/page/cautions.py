"""The usual cautions, wherever a study speaks of what may hurt people or break a rule.

Every text an author wrote is looked at: claims, advice and rule, but also captions, questions,
corrections and the report's own sentences.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from explainer.claims.verdict import Judgement

if TYPE_CHECKING:
    from explainer.words.phrases.renderer import Teller


# What in a text may hurt people or break a rule: words that speak of doing it to a ball.
# Everyday words (drill, bake, heat, lift, cut) count only where a ball or a part of one stands
# near, so that a fire drill or a heated argument brings no caution. Advice says "it" for the
# ball: then the act must be done to it (sand it, have it drilled).

#: A ball, or what of it is worked on.
_BALL = r"(?:balls?|covers?|coverstocks?|shells?|bowling balls?|thumb(?: ?holes?)?|fingers?|holes?)"
_GAP = r"(?:[\s,-]+[\w'’-]+){0,5}?[\s,-]+"


def _near(act: str, thing: str = _BALL) -> str:
    """The act within six words of the thing, in one sentence, either first."""
    return rf"\b(?:{act})\b{_GAP}{thing}\b|\b{thing}\b{_GAP}(?:{act})\b"


def _to_it(act: str, done: str) -> str:
    """The act with the ball, called it, as its object; or somebody has it done."""
    thing = r"(?:it|them|one|yours|this one|both)"
    how = r"(?:(?:down|up|over|only|just|all|lightly|gently) )?"
    has = r"(?:ha[sd]|have|having|g[eo]t|gets|getting)"
    return rf"\b(?:{act})\b {how}{thing}\b|\b{has} {thing} {how}(?:{done})\b"


def _any(*ways: str) -> re.Pattern[str]:
    return re.compile("|".join(ways), re.IGNORECASE)


#: What people do, in the order in which it is warned of.
HAZARDS: dict[str, re.Pattern[str]] = {
    "dust": _any(
        r"\b(?:re)?(?:sanded|sandings?|sandpaper\w*|surfaced|surfaces? (?:it|them|the|your|a)\b)",
        r"\bre-?surfac(?:e|es|ed|ing|ings)\b|\brefinish(?:ed|ing|es)?\b|\bwet[- ]sand\w*",
        r"\bscuff(?:s|ed|ing)?\b|\babrasives?\b|\babrad\w+|\b\d{2,5}[- ]?grit\b|\bgrit \d{2,5}\b",
        r"\bsurface (?:adjust|alter|chang)\w*|\balter\w* (?:the|its|a|your) surface\b",
        r"\broughen\w*|\brough(?:ed|ing)? (?:it|them|the \w+) up\b|\b\d{3,5} pads?\b",
        r"\bwith (?:an?|the) (?:(?!note|shin|knee|score)\w+ )?pad\b(?! (?:of|and)\b)",
        r"\b(?:freshen|refresh|renew|restor)\w* (?:the|its|your|a) (?:surface|cover|finish)\b",
        r"\b(?:knock|tak|took)\w* the shine off\b",
        _near("sand|sands|pads?|grits?|touch(?:ed|ing)? up"),
        _to_it("sand|sanding", "sanded"),
    ),
    "liquid": _any(
        r"\b(?:solvents?|acetone|isopropyl|degreas\w+|lye|ammonia)\b",
        r"\balcohol\b(?! (?:beverage|drink))|\bpaint thinner\b|\bmineral spirits\b|\bnaphtha\b",
        r"\b(?:work|rub)\w*\b (?:\w+ ){0,3}compounds?\b(?! bow)|\bpolish remover\b",
        r"\b(?:ball|cover|lane)[- ]cleaners?\b|\brubbing compounds?\b|\bde-?oil(?:s|ed|ing)?\b",
        _near("cleaners?|compounds?|compounded|compounding|polish(?:es|ed|ing)?"
              "|wax(?:ed|ing)?|chemicals?|soak(?:s|ed|ing)?|bleach"),
        _to_it("polish|polishing|wax|waxing", "polished|waxed|compounded"),
    ),
    "heat": _any(
        r"\bde-?oil(?:s|ed|ing)?\b|\boil (?:extraction|removal)\b|\bhot[- ]water\b|\bheat guns?\b",
        _near("bak(?:e|es|ed|ing)|ovens?|heat(?:s|ed|ing)?|warm(?:s|ed|ing)? up|microwaves?"
              "|boil\\w*|hair ?dryers?|dishwashers?|torch(?:es)?"),
        r"\b(?:it|them|balls?) in(?:to)? (?:an?|the|your) (?:\w+ )?(?:oven|dishwasher|microwave)\b",
        r"\b(?:draw|drew|get|pull|sweat|bleed|bled|bak)\w* (?:the |its |old )*oil out\b",
        _to_it("bake|baking|heat|heating", "baked|heated"),
    ),
    "machine": _any(
        r"\bball spinners?\b|\bre-?surfac(?:e|es|ed|ing)\b|\blathes?\b",
        r"\b(?:spin|spun|put|set|run|hold|held)\b (?:\w+ ){1,3}on (?:an?|the|your) spinner\b",
        _near("spinners?", r"(?:balls?|covers?|sand\w*|pads?|polish\w*|grit)"),
    ),
    "drill": _any(
        r"\b(?:re-?drill|drilling shop)\w*",
        r"\b(?:take|took|taking) a drill to\b",
        _near("drill|drills|drilled|drilling|plug|plugs|plugged|plugging"),
        _near("grind|grinding|ground out|file|filed|filing|bevel\\w*|ream\\w*|widen\\w*|enlarg\\w*",
              r"(?:thumb(?: ?holes?)?|(?:finger )?holes?)"),
        _to_it("drill|drilling|plug|plugging", "drilled|plugged"),
    ),
    "lift": _any(
        r"\blift(?:s|ed|ing)?\b(?:[\s,-]+[\w'’-]+){0,3}?[\s,-]+balls?\b",
        r"\bcarr(?:y|ies|ied|ying)\b(?:[\s,-]+[\w'’-]+){0,3}?[\s,-]+(?:balls|ball bags?|bags?)\b",
        r"\bheav(?:y|ier|iest) balls?\b|\bpick\w* up (?:\w+ ){0,2}balls?\b",
        r"\bpick\w* (?:\w+ ){0,2}balls? up\b",
        r"\b(?:mov|go|step)\w* up to (?:an? )?(?:heavier\b|1[3-6][- ](?:pound|lb))",
    ),
}  # fmt: skip

#: Those that change a ball, which a rule may forbid.
CHANGES = frozenset({"dust", "liquid", "heat", "machine", "drill"})


def hazards_in(texts: Iterable[str]) -> tuple[str, ...]:
    """Which of ``HAZARDS`` any of the texts speaks of, in their order."""
    told = [" ".join(text.split()) for text in texts]
    return tuple(
        name for name, spoken in HAZARDS.items() if any(_told(spoken, text) for text in told)
    )


def _told(spoken: re.Pattern[str], text: str) -> bool:
    """Whether it stands in one sentence of the text."""
    return any(spoken.search(sentence) for sentence in re.split(r"(?<=[.!?;])\s", text))


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
