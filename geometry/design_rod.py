"""The section of the design file that describes the push rod and the bush that guides it."""

from typing import Annotated

from geometry import design_fields as field
from geometry.design_bodies import PART_FILES
from geometry.design_fields import Section


class Bush(Section):
    """A bush that stands and guides the rod."""

    bore: Annotated[float, field.plain("length", "its bore, around the rod", "14.05 mm", above=0)]
    diameter: Annotated[float, field.plain("length", "outer diameter", "18 mm", above=0)]
    length: Annotated[float, field.plain("length", "length", "20 mm", above=0)]
    position: Annotated[float, field.plain("length", "z of its near face", "112 mm")]
    material: Annotated[str | None, field.words("material", "brass")] = None
    mass: Annotated[float | None, field.plain("mass", "mass; left out, by its material", "12 g", above=0)] = (
        None
    )


class PushRod(Section):
    """A rod or tube on what travels: a tube before the nut, over the screw; a rod on a travelling screw."""

    diameter: Annotated[float, field.plain("length", "outer diameter", "14 mm", above=0)]
    length: Annotated[float, field.plain("length", "length", "105 mm", above=0)]
    bore: Annotated[
        float | None,
        field.plain("length", "inner diameter of a tube; left out, it is solid", "9 mm", above=0),
    ] = None
    material: Annotated[str, field.words("material", "steel")] = "steel"
    strength: Annotated[
        float | None, field.plain("pressure", "yield strength of the material", "350 MPa", above=0)
    ] = None
    mass: Annotated[float | None, field.plain("mass", "mass; left out, by its material", "60 g", above=0)] = (
        None
    )
    guide: Bush | None = None
    shape: Annotated[str | None, field.path("STEP file in place of our shape", "rod.step", PART_FILES)] = None
