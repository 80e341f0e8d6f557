"""Characters that nobody sees, and those that make text read in another order than it stands.

Two names that differ in one look the same and are not, and a direction mark turns `1 of 8` into
`8 of 1` on whatever page, sheet or terminal shows it.  So no text of a study, a glossary or a
phrase book may hold one; only joiners inside scripts and pictures that need them may.  Text that
is the same but for how its accents are coded (NFC and NFD, Unicode Standard Annex 15) is one text.
"""

from __future__ import annotations

import re
import unicodedata

#: Joiners and variants belong in scripts and pictures from here on, and nowhere before.
_FROM = "\u0590"
#: Controls but tab and line ends; format characters, fillers, tags (category Cf, and what Unicode
#: lists as Default_Ignorable_Code_Point); signs that are drawn as nothing (a Braille cell without
#: dots, a note without a head); line ends of other systems; halves and no characters; what stands
#: for an object that is not there; private characters, which a font draws as it likes, if at all.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5"
    "\u180b-\u180f\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\u2800\u3164\ufeff\uffa0\ufff0-\ufffc"
    "\U00013430-\U0001343f\U00016fe4\U0001bca0-\U0001bca3\U0001d159\U0001d173-\U0001d17a\U000e0000-\U000e0fff\ud800-\udfff\ufdd0-\ufdef"
    "\ufffe\uffff\U0001107f\ue000-\uf8ff\U000f0000-\U0010ffff]"
    f"|(?<![{_FROM}-\U0010ffff])[\u200c\u200d]|[\u200c\u200d](?![{_FROM}-\U0010ffff])"
    "|[\u200c\u200d](?=[\u200c\u200d])"
    "|(?<![\u00a9\u00ae\u2000-\U0010ffff])[\ufe00-\ufe0f](?!\u20e3)"
)
_CONTROLS = bytes(n for n in (*range(32), 127) if n not in b"\t\n\r")
#: Those beyond ASCII in bytes, found a little too often: whether to look closer at all.
_MAYBE = re.compile(
    rb"\xc2[\x80-\x9f\xad]|\xcd\x8f|\xd8\x9c|\xe1\x85[\x9f\xa0]"
    rb"|\xe1\x9e[\xb4\xb5]|\xe1\xa0[\x8b-\x8f]|\xe2\x80[\x8b-\x8f\xa8-\xae]|\xe2\x81[\xa0-\xaf]"
    rb"|\xe3\x85\xa4|\xef\xb8|\xef\xb7|\xef\xbb\xbf|\xef\xbe\xa0|\xef\xbf[\xb0-\xbc\xbe\xbf]"
    rb"|\xe2\xa0\x80|\xf0\x93\x90|\xf0\x96\xbf|\xf0\x91\x81|\xf0\x9b\xb2|\xf0\x9d\x85"
    rb"|\xf3[\xa0\xb0-\xbf]|\xee|\xef[\x80-\xa3]|\xf4"
)
#: What to do about it, in a message.
HINT = "it may have come with a copied text: delete what seems to be nothing there, or type it anew"
EXPECTED = "text of which every character is seen, in the order in which it stands"


def first_unseen(text: str) -> int | None:
    """The place, from 0, of the first character that nobody sees or that turns text around."""
    if text.isascii() and text.isprintable():
        return None
    found = _UNSEEN.search(text)
    return found.start() if found else None


def maybe_unseen(data: bytes) -> bool:
    """Whether UTF-8 text may hold such a character; as fast as the bytes are read."""
    if len(data.translate(None, _CONTROLS)) < len(data):
        return True
    return not data.isascii() and _MAYBE.search(data.translate(None, bytes(range(128)))) is not None


def told(text: str, at: int) -> str:
    """What stands around such a character, and the number and name that Unicode gives it."""
    name = unicodedata.name(text[at], "").lower()
    code = f"U+{ord(text[at]):04X}{f' ({name})' if name else ''}"
    return f"`{text[max(0, at - 20) : at + 20]}`, with the character {code}, which is not seen"


def seen(text: str) -> str:
    """``text`` without such characters, each accent coded in one way: for what was copied."""
    return unicodedata.normalize("NFC", _UNSEEN.sub("", text))


def one_code(text: str) -> str:
    """``text`` with each accent coded in one way: canonically the same, by the standard."""
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def blank(text: str) -> bool:
    """Whether nothing of ``text`` is seen by itself: spaces, accents without a letter, characters
    that Unicode gives to nothing yet.  A name of these looks like no name."""
    return not any(unicodedata.category(character)[0] in "LNPS" for character in text)
