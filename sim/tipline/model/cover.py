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
    plate, which rests on all four sides where ``other_span`` is given; the three of ``bar_depth``, ``bar_thickness``
    and ``bar_pitch`` for the bars of a grating that carry, across ``span``. ``span`` is the clear opening the way it
    spans; ``bearing`` how far it rests on each side; ``depth`` down to the bottom.
    """

    kind: Literal["cover"]
    cover: Annotated[str, Word(("lid", "grating", "steel plate", NOT_KNOWN))] = NOT_KNOWN
    load_class: CoverClass = NOT_KNOWN
    plate_thickness: PositiveLength | None = None
    steel_grade: SteelGrade = NOT_KNOWN
    bar_depth: PositiveLength | None = None
    bar_thickness: PositiveLength | None = None
    bar_pitch: PositiveLength | None = None
    span: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
    other_span: PositiveLength | None = None
    bearing: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
    depth: Annotated[PositiveLength | None, Absent(NOT_KNOWN)] = None
