"""`finishing readings leave-out`, `left-out` and `take-back`."""

from __future__ import annotations

from pathlib import Path

import click

from finishing.cli import options
from finishing.cli.context import open_shop
from finishing.cli.progress import watched
from finishing.cli.readings.logs import layout_options
from finishing.cli.text import say, say_json, table
from finishing.clock import now_hour
from finishing.errors import BadInput
from finishing.exchange.readings import Columns, LogReading, read_log
from finishing.moments import parse_stretch, zone_named
from finishing.shop import left_out as shop_left_out
from finishing.shop.left_out import Line
from finishing.shop.left_out_views import left_out_view, line_view, taken_back_view
from finishing.shop.words import short_time

STRETCH = ("--from", "--until")


@click.command("leave-out")
@click.argument("file", type=options.FILE, required=False)
@click.option("--place", required=True, help="where they stand")
@click.option("--from", "first", metavar="TIME", help="instead of a file: the first, such as 2026-03-14 18:30")
@click.option("--until", "last", metavar="TIME", help="and the last")
@click.option("--dry-run", is_flag=True, help="only say how many, and leave none out")
@layout_options
@options.note
@options.as_json
def leave_out(
    file: Path | None,
    place: str,
    first: str | None,
    last: str | None,
    dry_run: bool,
    day_first: bool | None,
    zone: str | None,
    time_column: str,
    temperature_column: str,
    humidity_column: str,
    temperature_unit: str,
    note: str,
    as_json: bool,
) -> None:
    """Leave readings out: those of a wrong log FILE, or of a time. Windows go by the others, and they stay on record.

    Of FILE, those that stand at the place with its seconds and values are left out; read it as it was read in, with the
    same zone and columns. Then the right log may take their place. `take-back` undoes it.
    """
    now = now_hour()
    columns = Columns(time_column, "", temperature_column, humidity_column, temperature_unit)
    _either(file, first, last, asked=day_first is not None or zone is not None or columns != Columns())
    with open_shop(now) as shop:
        settings = shop.settings
        place = shop.place(place).name
        if file is not None:
            log = _log(file, settings.zone if zone is None else zone_named(zone, "--zone"), day_first, columns)
            done = (
                shop_left_out.would_leave_log_out(shop, place, file, log)
                if dry_run
                else shop_left_out.leave_log_out(shop, place, file, log, now, note)
            )
        else:
            span = parse_stretch((first or "", last or ""), STRETCH, settings.zone, now)
            done = (
                shop_left_out.would_leave_out(shop, place, *span)
                if dry_run
                else shop_left_out.leave_out(shop, place, *span, now, note)
            )
    if as_json:
        say_json(left_out_view(done, settings.zone))
    else:
        say(shop_left_out.left_out_words(done, settings.units, settings.zone, now))


def _either(file: Path | None, first: str | None, last: str | None, *, asked: bool) -> None:
    """BadInput unless either a file is named or both ends of a time."""
    if file is not None and (first is not None or last is not None):
        raise BadInput("--from" if first is not None else "--until", first or last, "either a log or a time, not both")
    if file is None and first is None and last is None:
        raise BadInput("file", None, "a log, or --from and --until")
    for value, field, there in ((first, "--from", last), (last, "--until", first)):
        if there is not None and value is None:
            raise BadInput(field, None, "both ends of the time")
    if file is None and asked:
        raise BadInput("file", None, "a log, where it is said how to read one")


def _log(file: Path, zone: str, day_first: bool | None, columns: Columns) -> LogReading:
    with watched("reading") as heard:
        return read_log(file, zone=zone, day_first=day_first, columns=columns, progress=heard)


@click.command("left-out")
@click.option("--place", help="of this place alone")
@options.as_json
def left_out(place: str | None, as_json: bool) -> None:
    """What was left out, and taken back, the newest first."""
    now = now_hour()
    with open_shop(now) as shop:
        zone = shop.settings.zone
        found = shop_left_out.lines(shop, place)
    if as_json:
        say_json([line_view(line, zone) for line in found])
        return
    if not found:
        say("nothing was left out")
        return
    table(
        [_row(line, zone, now) for line in found], ("number", "place", "readings", "from and until", "of", "", "note")
    )


def _row(one: Line, zone: str, now: float) -> tuple[str, ...]:
    line = one.line
    back = "" if one.back is None else f"taken back {short_time(one.back.recorded_at, zone, now)}"
    span = shop_left_out.span_words(line, zone, now)
    return str(line.number), one.place, f"{line.readings:,}", span, line.file_name, back, line.note


@click.command("take-back")
@click.argument("number", type=options.NUMBER)
@options.note
@options.as_json
def take_back(number: int, note: str, as_json: bool) -> None:
    """Put the readings of leaving-out NUMBER back, as `left-out` lists them: those whose second has no other by now."""
    now = now_hour()
    with open_shop(now) as shop:
        zone = shop.settings.zone
        done = shop_left_out.take_back(shop, number, now, note)
    if as_json:
        say_json(taken_back_view(done, zone))
    else:
        say(shop_left_out.taken_back_words(done, zone, now))
