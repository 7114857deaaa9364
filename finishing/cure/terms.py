"""The words of the trade and of the standards, as closed sets.

Stages are those of ASTM D1640/D1640M and ISO 9117 (stackable: ISO 9117-2, formerly ISO 4622). They have no
forced order: ISO 9117-5 lets later stages come before earlier ones, and some films never reach them.
"""

from __future__ import annotations

from enum import StrEnum


class Stage(StrEnum):
    """A state of the film."""

    DUST_FREE = "dust_free"
    TACK_FREE = "tack_free"
    DRY_TO_TOUCH = "dry_to_touch"
    DRY_TO_RECOAT = "dry_to_recoat"
    DRY_TO_HANDLE = "dry_to_handle"
    STACKABLE = "stackable"
    CURED = "cured"

    @property
    def words(self) -> str:
        """The stage as people write it: "dry to touch"."""
        return self.value.replace("_", " ")


class Mechanism(StrEnum):
    """How a finish hardens."""

    EVAPORATION = "evaporation"
    OXIDATION = "oxidation"
    COALESCENCE = "coalescence"
    TWO_PART = "two_part"
    MOISTURE = "moisture"
    NONE = "none"


class Family(StrEnum):
    """The generic family a finish belongs to."""

    DRYING_OIL = "drying oil"
    HARD_WAX_OIL = "hard-wax oil"
    TWO_PART_HARD_WAX_OIL = "two-part hard-wax oil"
    WIPING_VARNISH = "wiping varnish"
    BRUSHING_VARNISH = "brushing varnish"
    OIL_VARNISH_BLEND = "oil and varnish blend"
    SHELLAC = "shellac"
    LACQUER = "lacquer"
    WATERBORNE = "waterborne"
    TWO_PART_FILM = "two-part film"
    NON_CURING_OIL = "non-curing oil"
    OIL_AND_WAX = "oil and wax"


class ClockName(StrEnum):
    """Which of a finish's two clocks a stage runs on: what leaves (flash) or what reacts (cure)."""

    FLASH = "flash"
    CURE = "cure"


class HumidityLaw(StrEnum):
    """How humidity bears on the rate of a clock; the laws themselves are in `rates`."""

    NONE = "none"
    WATER_LEAVES = "water_leaves"
    SLOWS_OXIDATION = "slows_oxidation"
    NEEDS_WATER = "needs_water"


class FilmLaw(StrEnum):
    """How the thickness of a coat bears on its time; the laws themselves are in `film`."""

    DIFFUSION = "diffusion"
    REACTION = "reaction"
    NONE = "none"


class Extractives(StrEnum):
    """How much a wood's extractives hold up a finish."""

    NONE = "none"
    LOW = "low"
    MODERATE = "moderate"
    HIGH = "high"


class Pores(StrEnum):
    """How the wood's pores lie."""

    RING = "ring-porous"
    SEMI_RING = "semi-ring-porous"
    DIFFUSE = "diffuse-porous"
    SOFTWOOD = "softwood"


class Evidence(StrEnum):
    """How good the ground under a figure is."""

    STANDARD = "read in a standard"
    COMPUTED = "computed"
    PRACTICE = "common practice"
    ESTIMATE = "estimate"
    LABEL = "from the can's label"


class Hazard(StrEnum):
    """What a finish or wood can do to people; the cautions are in `cautions`."""

    RAGS = "oily_rags"
    VAPOUR = "solvent_vapour"
    ISOCYANATE = "isocyanate"
    SPRAY = "spray"
    DUST = "sensitising_dust"
    NUT_OIL = "nut_oil"
    FOOD = "food_before_cure"


class Face(StrEnum):
    """Which faces a step is done to."""

    BOTH = "both"
    TOP = "top"
    BOTTOM = "bottom"

    @property
    def sides(self) -> tuple[Face, ...]:
        """The single faces this stands for."""
        return _SIDES[self]


_SIDES = {
    Face.BOTH: (Face.TOP, Face.BOTTOM),
    Face.TOP: (Face.TOP,),
    Face.BOTTOM: (Face.BOTTOM,),
}


class StepKind(StrEnum):
    """What is done in one step of a finishing schedule."""

    PREPARE = "prepare"
    CLEAN = "clean"
    COAT = "coat"
    SOAK = "soak"
    WIPE = "wipe"
    TURN = "turn"
    ABRADE = "abrade"
    BUFF = "buff"
    REST = "rest"


class Release(StrEnum):
    """What may be done with a piece."""

    HANDLE = "handle"
    PACK = "pack"
    USE = "use"


RELEASE_STAGE = {
    Release.HANDLE: Stage.DRY_TO_HANDLE,
    Release.PACK: Stage.STACKABLE,
    Release.USE: Stage.CURED,
}
