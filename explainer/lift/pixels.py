"""A page or an image file as pixels, made in the child process and of bounded size."""

from __future__ import annotations

import base64
import io
import warnings
from typing import Any

#: Bytes that an image may take while it is decoded.
MOST_DECODED = 420_000_000


def picture_of(data: bytes, request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request for a picture: PNG in base64, or a fault."""
    pages = 0
    try:
        if request["page"] is not None:
            image, pages = _rendered(data, int(request["page"]), int(request["most"]))
        else:
            image = _decoded(data, int(request["most"]))
    except _CannotShow as fault:
        return {"fault": str(fault)}
    except MemoryError:
        return {"fault": "it needs more than a gigabyte to show; save it at half its size"}
    out = io.BytesIO()
    image.save(out, "PNG")
    return {"png": base64.b64encode(out.getvalue()).decode("ascii"), "width": image.width,
            "height": image.height, "pages": pages}  # fmt: skip


class _CannotShow(Exception):
    """Why there is no picture."""


def _rendered(data: bytes, number: int, most: int) -> tuple[Any, int]:
    """A page as an image, and how many pages there are."""
    import pypdfium2 as pdfium

    from explainer.lift.pages import stood_up

    try:
        document = pdfium.PdfDocument(data)
        if not 1 <= number <= len(document):
            raise _CannotShow(f"it has {len(document)} pages; there is no page {number}")
        page = document[number - 1]
        stood_up(page)
        width, height = page.get_size()
        scale = min(4.0, most / max(width, height, 1.0))
        image = page.render(scale=scale, may_draw_forms=False).to_pil().convert("RGB")
    except pdfium.PdfiumError as fault:
        locked = "password" in str(fault).casefold()
        raise _CannotShow(
            "it is encrypted and asks for a password; save an open copy of it first" if locked
            else "it is broken or no PDF; open it in a reader and print it to a new PDF"
        ) from None
    return image, len(document)


def _decoded(data: bytes, most: int) -> Any:
    from PIL import Image, ImageOps

    Image.MAX_IMAGE_PIXELS = None  # bounded below, by what decoding would take
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            formats = ("PNG", "JPEG", "WEBP", "GIF", "BMP", "TIFF")
            image = Image.open(io.BytesIO(data), formats=formats)
            was = image.size
            image.draft("RGB", (most, most))  # a JPEG is decoded smaller at once
            if image.width * image.height * 4 > MOST_DECODED:
                size = was[0] * was[1] / 1e6
                raise _CannotShow(
                    f"{size:.0f} megapixels are too many; save it at half its width and height"
                )
            upright = ImageOps.exif_transpose(image).convert("RGB")
            upright.thumbnail((most, most))
    except (OSError, ValueError, SyntaxError) as fault:
        raise _CannotShow(f"it is no image that can be read ({type(fault).__name__})") from None
    return upright
