"""A build-up in SVG: every mark written once, and each still a short list of what it shows.

Pages that show all stills of a figure stay small this way, sharp at any size, and follow the
page's light or dark.
"""

from __future__ import annotations

from itertools import groupby

from explainer.charts import svg
from explainer.charts.display_list import DisplayList, Mark


def stock(plate: DisplayList, uid: str) -> str:
    """The marks of a plate as a hidden <svg>, in groups that ``still`` calls up by name."""
    groups = "".join(
        f'<g id="{uid}-{number}">{svg.written(marks)}</g>'
        for number, (_, marks) in enumerate(_runs(plate))
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="stock" width="0" height="0"'
        f' aria-hidden="true" focusable="false"><defs>{groups}</defs></svg>'
    )


def still(plate: DisplayList, uid: str, upto: int, name: str) -> str:
    """The plate up to a step as an <svg> named ``name``; ``stock`` must stand on the same page."""
    uses = "".join(
        f'<use href="#{uid}-{number}"/>'
        for number, (step, _) in enumerate(_runs(plate))
        if step <= upto
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {plate.width:g} {plate.height:g}"'
        f' role="img" aria-label="{svg.attribute(name)}"{svg.SHARED}'
        f' font-family="{svg.FAMILY}">{uses}</svg>'
    )


def _runs(plate: DisplayList) -> list[tuple[int, list[Mark]]]:
    """Neighboring marks of one step together: the order of drawing stays as it is."""
    return [(step, list(marks)) for step, marks in groupby(plate.marks, lambda m: m.step)]
