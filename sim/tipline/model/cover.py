"""A lid, grating or plate over a trench or pit."""

from __future__ import annotations

from typing import Annotated, Literal

from tipline.model.areas import Answered
from tipline.model.quantities import Absent, PositiveLength
from tipline.model.spreaders import SteelGrade
from tipline.model.words import NOT_KNOWN, CoverClass, Word

__all__ = ["Cover"]


class Cover(Answered):
    """A cover over an opening; without a class, a thickness and a span it carries nothing we can count on.

    ``load_class`` is the class cast or stamped into it; ``plate_thickness`` and ``steel_grade`` are for a flat steel
    plate; ``span`` is the clear opening; ``bearing`` how far it rests on each side; ``depth`` down to the bottom.
    """

    kind: Literal["cover"]
    cover: Annotated[str, Word(("lid", "grating", "steel plate", NOT_KNOWN))] = NOT_KNOWN
    load_class: CoverClass = NOT_KNOWN
    plate_thickness: PositiveLength | None = None
    steel_grade: SteelGrade = NOT_KNOWN
    span: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
    bearing: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
    depth: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
