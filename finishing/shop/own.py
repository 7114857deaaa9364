"""The maker's own finishes, schedules and woods: told apart from the shipped, copied, changed, typed from a label."""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from finishing.cure.finish import Atmosphere, Film, Finish, Limits, RecoatLimit, StageTime
from finishing.cure.species import ClassTable, Species
from finishing.cure.terms import ClockName, Evidence, Stage
from finishing.errors import BadFile, BadInput
from finishing.library import Kind, Library, add_own, save_own, to_toml
from finishing.library.build import build, read_item
from finishing.library.files import label, read_text
from finishing.library.kinds import Item, slug
from finishing.library.problems import shown
from finishing.library.shelf import toml_files
from finishing.library.toml import parse
from finishing.shop.shop import Shop
from finishing.units import parse_hours, show_temperature, show_warmer

Mark = tuple[tuple[str, int, int], ...]
"""Name, time and size of each of the maker's own files: differs once one was saved, added or taken away."""


@dataclass(frozen=True, slots=True)
class Broken:
    """One of the maker's own files that can't be read, and why, in one line."""

    kind: Kind
    file: Path
    problem: str


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything the library holds, as of one look at the maker's own files.

    own: kind and name of those that are the maker's. replaced: those of them that stand in for a shipped one.
    """

    library: Library
    mark: Mark
    items: Mapping[Kind, tuple[Item, ...]]
    classes: ClassTable
    own: frozenset[tuple[Kind, str]]
    replaced: frozenset[tuple[Kind, str]]
    broken: tuple[Broken, ...]


def mark(home: Path) -> Mark:
    """How the maker's own files look from outside."""
    found = []
    for kind in Kind:
        for path in toml_files(home / kind.folder):
            try:
                stat = path.stat()
            except FileNotFoundError:
                continue  # taken away between the listing and the look
            found.append((f"{kind.folder}/{path.name}", stat.st_mtime_ns, stat.st_size))
    return tuple(found)


def catalogue(home: Path) -> Catalogue:
    """Read everything; takes long enough to want a thread of its own. BadFile when the install lost its content."""
    seen = mark(home)
    library, shipped = Library(own=home), Library()
    items: dict[Kind, tuple[Item, ...]] = {
        Kind.FINISH: tuple(library.finishes()),
        Kind.SCHEDULE: tuple(library.schedules()),
        Kind.SPECIES: tuple(library.woods()),
    }
    own = frozenset((kind, i.name) for kind in Kind for i in items[kind] if library.is_own(kind, i.name))
    names = {Kind.FINISH: shipped.finish_names, Kind.SCHEDULE: shipped.schedule_names}
    if any(kind is Kind.SPECIES for kind, _ in own):
        names[Kind.SPECIES] = tuple(wood.name for wood in shipped.woods())
    replaced = frozenset((kind, name) for kind, name in own if name in names.get(kind, ()))
    return Catalogue(library, seen, items, library.classes, own, replaced, _broken(home, library.problems))


def _broken(home: Path, problems: Iterable[BadFile]) -> tuple[Broken, ...]:
    files = [(kind, path) for kind in Kind for path in toml_files(home / kind.folder)]
    return tuple(
        Broken(kind, path, str(problem))
        for problem in problems
        for kind, path in files
        if problem.where == label(path) or problem.where.startswith(f"{label(path)}, ")
    )


def own_file(home: Path, kind: Kind, name: str) -> Path:
    """Where one of the maker's own lies, or would lie."""
    return home / kind.folder / f"{slug(name)}.toml"


def copied(library: Library, item: Item, name: str) -> Item:
    """A thing under a new name, as typed; the name on the command line follows from it. BadInput if it is taken."""
    title = " ".join(name.split())
    _free(library, Kind.of(item), title)
    if isinstance(item, Species):
        return replace(item, name=title, aliases=())  # the other names stay with the wood they belong to
    return replace(item, name=slug(title), title=title)


def _free(library: Library, kind: Kind, title: str) -> None:
    handle = slug(title)
    if not handle or len(handle) > 60:
        raise BadInput("name", title[:60], "a name with letters or digits, up to 60 of them")
    taken: Iterable[str]
    if kind is Kind.SPECIES:
        taken = [slug(wood.name) for wood in library.woods()]
    else:
        taken = library.finish_names if kind is Kind.FINISH else library.schedule_names
    if handle in taken or (library.own is not None and own_file(library.own, kind, title).exists()):
        raise BadInput("name", title, f"a name that no {kind.value} has yet")


def checked(item: Item) -> Item:
    """A thing as its file would be read again. BadFile when that can't be."""
    where = Kind.of(item).value
    return build(type(item), parse(to_toml(item), where), where)


def add(shop: Shop, item: Item) -> str:
    """Write a new thing of the maker's own; says where. BadInput when there is a file of that name already."""
    return _saved(shop, item.name, save_own(item, shop.home))


def change(shop: Shop, item: Item, seen: str) -> str:
    """Write one of the maker's own anew. seen: its file's text when the change was begun; BadInput if it is another."""
    _unchanged(own_file(shop.home, Kind.of(item), item.name), seen)
    return _saved(shop, item.name, save_own(item, shop.home, replace=True))


def put_back(shop: Shop, kind: Kind, edited: Path, target: Path, seen: str) -> str:
    """Put a file that was edited aside in place of the maker's own `target`, as it is.

    BadFile if it can't be read or goes by another name, BadInput if the target changed meanwhile; then the old stays.
    """
    if read_text(edited) == seen:
        return f"{label(target)}: nothing changed"
    item: Item = read_item(kind.holds, edited)
    if slug(item.name) != target.stem:
        problem = f"got {shown(item.name)}, expected {shown(target.stem)}"
        raise BadFile(f"{label(edited)}, name", problem, "a copy gets a new name")
    _unchanged(target, seen)
    return _saved(shop, item.name, add_own(kind, edited, shop.home, replace=True))


def _unchanged(path: Path, seen: str) -> None:
    if not path.exists() or read_text(path) != seen:
        raise BadInput("file", label(path), "as it was when you began", "look at it again, then change it")


def _saved(shop: Shop, name: str, path: Path) -> str:
    shop.library = Library(own=shop.home)
    return f"{name}: saved in {path}"


# What a label says -------------------------------------------------------------------------------------------------

LABEL_STAGES = (Stage.DRY_TO_TOUCH, Stage.DRY_TO_RECOAT, Stage.DRY_TO_HANDLE, Stage.CURED)
"""The stages that labels give times for."""

LABEL_C, LABEL_PCT = 23.0, 50.0
"""The standard test atmosphere of ASTM D3924, for labels that give a time but not its air."""

LONGEST = 24.0 * 366
"""Hours: no stage is said to come later than after a year."""

ABRADE_GRIT = 320
"""For a recoat window that the generic finish doesn't have. Common practice, no source."""

M2_PER_L_OF = {"m2/l": 1.0, "ft2/gal": 0.09290304 / 3.785411784}
"""Spreading rates in m²/L: a square foot is 0.09290304 m², a US gallon 3.785411784 L (both exact)."""


@dataclass(frozen=True, slots=True)
class Label:
    """What the label of a can says. hours: first and last of what is stated, by stage.

    base: the generic finish it is most like. Air None: not stated.
    """

    title: str
    base: str
    hours: Mapping[Stage, tuple[float, float]]
    recoat_until: tuple[float, float] | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None
    minimum_c: float | None = None
    m2_per_l: float | None = None


def from_label(library: Library, said: Label, day: dt.date) -> Finish:
    """The maker's own finish from what a label says, the rest from the generic one it is most like.

    Of a stated range the later end counts for a stage and the earlier for the recoat window. Low and high, and the
    stages a label leaves out, keep their proportion to the generic ones. BadInput naming the field that doesn't fit.
    """
    base = library.finish(said.base)
    if not said.hours:
        raise BadInput("times", "none", "at least one time from the label")
    for stage in said.hours:
        if stage not in base.stages:
            raise BadInput(stage.words, show_range(said.hours[stage]), f"nothing: {base.title} has no such stage")
    title = " ".join(said.title.split())
    _free(library, Kind.FINISH, title)
    air = Atmosphere(
        LABEL_C if said.temperature_c is None else said.temperature_c,
        LABEL_PCT if said.humidity_pct is None else said.humidity_pct,
    )
    source = f"the label of the can, typed in {day.isoformat()}"
    stages = {stage: _stage(base, stage, said, source) for stage in base.stages}
    rest = f"what the label leaves out is as {base.name} has it"
    made = replace(
        base,
        name=slug(title),
        title=title,
        summary=f"From the label of the can, typed in {day.isoformat()}; {rest}.",
        reference=air,
        stages=stages,
        recoat_limit=_recoat_limit(base, stages, said, source),
        limits=_limits(base, said, air, source),
        film=_film(base, said, source),
        notes=(*base.notes, _air_note(said, air)),
    )
    checked(made)
    return made


def nearest_generic(finishes: Iterable[Finish], hours: Mapping[Stage, tuple[float, float]]) -> Finish | None:
    """The finish whose stated times lie closest to a label's, by the mean distance of their logarithms."""
    far = {f.name: f for f in finishes if hours and all(_positive(f.stages.get(s)) for s in hours)}

    def distance(finish: Finish) -> float:
        return sum(abs(math.log(hours[s][1] / finish.stages[s].typical)) for s in hours) / len(hours)

    return min(far.values(), key=distance, default=None)


def _positive(time: StageTime | None) -> bool:
    return time is not None and time.typical > 0.0


def _stage(base: Finish, stage: Stage, said: Label, source: str) -> StageTime:
    """One stage: as the label says, or in proportion to the stage nearest to it that the label does give."""
    old = base.stages[stage]
    own = f"low and high in proportion to {base.name}'s {_three(old)}"
    if stage in said.hours:
        words = f"{source}: {show_range(said.hours[stage])}; {own}"
        return scaled(old, said.hours[stage][1], Evidence.LABEL, words)
    given = min(said.hours, key=lambda s: abs(_log(base.stages[s].typical) - _log(old.typical)))
    before = base.stages[given].typical
    ratio = said.hours[given][1] / before if before > 0.0 else 1.0
    words = f"not on the label: {base.name}'s {_three(old)} ×{ratio:.3g}, as the label's {given.words} is to its own"
    return scaled(old, min(_four(old.typical * ratio), LONGEST), Evidence.ESTIMATE, words)


def scaled(old: StageTime, typical: float, evidence: Evidence, source: str) -> StageTime:
    """A stage with another typical time [hours], its low and high in proportion."""
    low, high = proportion(old.low, old.typical, old.high, typical)
    return replace(old, low=low, typical=typical, high=high, evidence=evidence, source=source)


def proportion(low: float, typical: float, high: float, new: float) -> tuple[float, float]:
    """Low and high that stand to a new typical as the old did to theirs."""
    if typical <= 0.0:
        return new, new
    return min(_four(low * new / typical), new), max(min(_four(high * new / typical), LONGEST), new)


def _recoat_limit(base: Finish, stages: Mapping[Stage, StageTime], said: Label, source: str) -> RecoatLimit | None:
    old, recoat = base.recoat_limit, stages.get(Stage.DRY_TO_RECOAT)
    if said.recoat_until is None:
        if old is None or recoat is None:
            return old
        ratio = recoat.typical / base.stages[Stage.DRY_TO_RECOAT].typical
        words = f"not on the label: {base.name}'s {_three(old)} ×{ratio:.3g}, as its dry to recoat"
        low, typical, high = (min(_four(v * ratio), LONGEST) for v in (old.low, old.typical, old.high))
        return replace(old, low=low, typical=typical, high=high, evidence=Evidence.ESTIMATE, source=words)
    until = said.recoat_until[0]
    if recoat is not None and until < recoat.typical:
        raise BadInput("recoat until", show_range(said.recoat_until), f"no less than recoat from, {recoat.typical:g} h")
    stated = f"{source}: {show_range(said.recoat_until)}; low and high"
    if old is not None:
        low, high = proportion(old.low, old.typical, old.high, until)
        words = f"{stated} in proportion to {base.name}'s {_three(old)}"
        return replace(old, low=low, typical=until, high=high, evidence=Evidence.LABEL, source=words)
    wide = math.exp(1.645 * base.spread)  # a twentieth of a log-normal lies beyond 1.645 standard deviations
    instructions = f"Abrade to an even dull surface with P{ABRADE_GRIT}, vacuum, then coat; as the label says."
    words = f"{stated} by {base.name}'s own spread, which has no such window"
    low, high = _four(until / wide), max(min(_four(until * wide), LONGEST), until)
    return RecoatLimit(low, until, high, ClockName.CURE, ABRADE_GRIT, instructions, Evidence.LABEL, words)


def _limits(base: Finish, said: Label, air: Atmosphere, source: str) -> Limits:
    low = base.limits.minimum_c if said.minimum_c is None else said.minimum_c
    if low >= air.temperature_c:
        raise BadInput("coldest", f"{low:g} °C", f"below the {air.temperature_c:g} °C that the times are for")
    if said.minimum_c is None:
        return base.limits
    words = f"minimum: {source}; the rest as {base.name}: {base.limits.source}"
    cap = max(base.limits.cap_c, low)
    return replace(base.limits, minimum_c=low, cap_c=cap, evidence=Evidence.LABEL, source=words)


def _film(base: Finish, said: Label, source: str) -> Film:
    if said.m2_per_l is None:
        return base.film
    first = _four(said.m2_per_l * base.film.first_m2_per_l / base.film.later_m2_per_l)
    words = f"{source}: {said.m2_per_l:g} m²/L; the coat on bare wood in proportion to {base.name}'s; solids as its own"
    return replace(base.film, first_m2_per_l=first, later_m2_per_l=_four(said.m2_per_l), evidence=Evidence.LABEL,
                   source=words)  # fmt: skip


def _air_note(said: Label, air: Atmosphere) -> str:
    words = f"Times for {air.temperature_c:g} °C and {air.humidity_pct:g} % RH"
    if said.temperature_c is None or said.humidity_pct is None:
        return f"{words}; what of that the label does not say is the standard test air of ASTM D3924."
    return f"{words}, as the label says."


def parse_range(text: str, field: str) -> tuple[float, float]:
    """Hours from "6h", or first and last from "4-6h" and "20min to 1h"; the first takes the last's unit."""
    parts = re.split(r"\s*(?:-|–|\bto\b)\s*", text.strip(), maxsplit=1)
    unit = re.search(r"[a-z]+$", parts[-1].strip().lower())
    first = parts[0] if re.search(r"[a-zA-Z]", parts[0]) or unit is None else f"{parts[0]}{unit[0]}"
    low, high = parse_hours(first, field), parse_hours(parts[-1], field)
    if low > high:
        raise BadInput(field, text, "the shorter time first, such as 4-6h")
    return low, high


def parse_spreading(text: str, field: str, units: str) -> float:
    """m²/L from "12", "12 m2/L", "400 ft2/gal"; without a unit, the maker's."""
    match = re.fullmatch(r"(\d{1,5}(?:[.,]\d{1,3})?)\s*([a-z][a-z2 /.]*)?", text.strip().lower().replace("²", "2"))
    name = "" if match is None else (match[2] or "").replace(" ", "").replace("sqft", "ft2")
    value = M2_PER_L_OF.get(name or ("ft2/gal" if units == "imperial" else "m2/l"))
    rate = 0.0 if match is None or value is None else float(match[1].replace(",", ".")) * value
    if not 0.5 <= rate <= 200.0:
        raise BadInput(field, text, "a spreading rate from 0.5 to 200 m2/L (20 to 8,000 ft2/gal)")
    return _four(rate)


def show_spreading(m2_per_l: float, units: str) -> str:
    """A spreading rate in the maker's units."""
    if units == "imperial":
        return f"{m2_per_l / M2_PER_L_OF['ft2/gal']:.0f} ft²/gal"
    return f"{m2_per_l:.4g} m²/L"


def limit_words(limits: Limits, units: str) -> str:
    """The air a finish needs, in words."""
    parts = [
        f"from {show_temperature(limits.minimum_c, units)}",
        f"no faster above {show_temperature(limits.cap_c, units)}",
    ]
    stops = "stops" if limits.stops else "not"
    if limits.maximum_humidity_pct is not None:
        parts.append(f"{stops} above {limits.maximum_humidity_pct:g} % RH")
    if limits.minimum_humidity_pct is not None:
        parts.append(f"{stops} below {limits.minimum_humidity_pct:g} % RH")
    if limits.warn_humidity_pct is not None:
        parts.append(f"care above {limits.warn_humidity_pct:g} % RH")
    if limits.blush_drop_c is not None:
        parts.append(f"cools itself by {show_warmer(limits.blush_drop_c, units)}: may blush")
    return ", ".join(parts)


def exact_hours(hours: float) -> str:
    """A time as it would be typed: 45min, 6h, 21d."""
    if hours < 1.0:
        return f"{hours * 60:.4g}min"
    return f"{hours / 24:.4g}d" if hours >= 48.0 and (hours / 24).is_integer() else f"{hours:.6g}h"


def show_range(hours: tuple[float, float]) -> str:
    """A stated time, or the range stated."""
    first, last = (exact_hours(h) for h in hours)
    return first if first == last else f"{first} to {last}"


def _three(time: StageTime | RecoatLimit) -> str:
    return f"{time.low:g}, {time.typical:g} and {time.high:g} h"


def _four(value: float) -> float:
    return float(f"{value:.4g}")


def _log(hours: float) -> float:
    return math.log(max(hours, 1.0 / 60.0))
