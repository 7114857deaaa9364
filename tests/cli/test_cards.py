"""`finishing cards`, read back by pypdf, drawn by pdfium, the QR codes read by zxing: none of them wrote the files."""

from __future__ import annotations

import datetime as dt
import stat
from pathlib import Path

import pypdf
import pypdfium2
import pytest
import zxingcpp
from freezegun.api import FrozenDateTimeFactory

from finishing.clock import now_hour
from finishing.cure.terms import Stage
from finishing.cure.work import Finding
from finishing.exchange.paper.sheet import Pen
from finishing.shop.drafts import TestDraft
from finishing.shop.record import note_test
from finishing.shop.shop import Shop

from .conftest import Command

MM = 72 / 25.4


def text_of(file: Path) -> str:
    """All its words, a space between."""
    return " ".join(" ".join(page.extract_text().split()) for page in pypdf.PdfReader(file).pages)


def codes_on(file: Path) -> list[str]:
    """Every QR code on its pages, drawn at 200 dots an inch."""
    with pypdfium2.PdfDocument(file) as opened:
        pictures = [page.render(scale=200 / 72).to_pil() for page in opened]
    return [found.text for picture in pictures for found in zxingcpp.read_barcodes(picture)]


def sizes(file: Path) -> list[tuple[float, float]]:
    """Of each page [mm]."""
    return [(float(p.mediabox.width) / MM, float(p.mediabox.height) / MM) for p in pypdf.PdfReader(file).pages]


def add(
    shop: Command, code: str, schedule: str, what: str = "boards", woods: str = "hard maple", note: str = ""
) -> None:
    shop.ok("batch", "add", "--what", what, "--pieces", "3", "--species", woods, "--schedule", schedule,
            "--size", "300x200x18", "--place", "loft", "--code", code, "--note", note)  # fmt: skip


def test_rack_card(shop: Command, tmp_path: Path) -> None:
    shop.ok("record", "coat", "T-1")
    file = tmp_path / "rack.pdf"
    assert shop.json("cards", "rack", "T-1", str(file)) == {
        "file": str(file), "cards": 1, "pages": 1, "unprintable": [], "cut": [], "open_dates": [], "dates": [],
    }  # fmt: skip
    said = text_of(file)
    following = shop.json("batch", "show", "T-1")
    for part in (
        "T-1",
        "tea trays ×4",
        "hard maple",
        "loft",
        "coat 2 of 4",
        "done Tue 10 Mar 09:00",
        "wipe off",
        "Oily rags",
    ):
        assert part in said, part
    assert said.count("coat ") >= 4
    assert following["next"]["words"] in said
    assert codes_on(file) == ["T-1"]
    assert sizes(file) == [pytest.approx((105, 148), abs=0.1)]  # A6: ISO 216
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_several_on_a_sheet(shop: Command, tmp_path: Path) -> None:
    """Four A6 on A4 (ISO 216: each size is half of the one before), two of 4 by 6 inches on letter (215.9 × 279.4)."""
    add(shop, "B-2", "hard-wax-two")
    file = tmp_path / "sheet.pdf"
    made = shop.json("cards", "care", "T-1", "B-2", str(file), "--sheet", "A4", "--copies", "3")
    assert (made["cards"], made["pages"]) == (6, 2)
    assert sizes(file) == [pytest.approx((210, 297), abs=0.1)] * 2
    made = shop.json("cards", "rack", "T-1", "B-2", str(file), "--sheet", "letter", "--size", "4x6")
    assert (made["cards"], made["pages"]) == (2, 1)
    assert sizes(file) == [pytest.approx((215.9, 279.4), abs=0.1)]
    assert sorted(codes_on(file)) == ["B-2", "T-1"]


def test_many_steps_go_on_a_second_card(shop: Command, tmp_path: Path) -> None:
    add(shop, "S-1", "wiped-varnish-sealed", woods="padauk, hard maple 80%")
    made = shop.json("cards", "rack", "S-1", str(tmp_path / "r.pdf"))
    assert made["cards"] == made["pages"] == 2
    said = text_of(tmp_path / "r.pdf")
    for step in shop.json("batch", "show", "S-1")["steps"]:
        assert step["words"] in said
    assert "card 2 of 2" in said
    assert codes_on(tmp_path / "r.pdf") == ["S-1", "S-1"]


def test_care_card(shop: Command, tmp_path: Path) -> None:
    """No date while coats are to come; then the day after nine in ten such pieces are cured. Of food, no promise."""
    add(shop, "N-1", "walnut-oil-board", woods="black walnut, hard maple 40%")
    file = tmp_path / "care.pdf"
    said = shop.ok("cards", "care", "N-1", str(file))
    assert "N-1: 3 coats to come; its date is left open on the card, print it again when the last is on" in said
    said = text_of(file)
    assert "standing water on it before ." in said
    assert "2026" not in said.split("What is on it")[0]
    finish = shop.json("finishes", "show", "walnut-oil")
    assert " ".join(finish["care"]["words"].split()) in said
    assert f"every {finish['care']['reoil_months']:g} months" in said
    for part in ("black walnut and hard maple", "No hot mugs", "nut or seed oil",
                 "21 CFR 175.300", "law where you live", "catch fire by themselves", "N-1"):  # fmt: skip
        assert part in said, part
    assert "food safe" not in said.lower()
    shop.ok("cards", "record", "N-1", str(file))
    assert "may be used not known yet" in text_of(file)
    for number in ("1", "2", "3"):
        shop.ok("record", "coat", "N-1", "--coat", number)
        made = shop.json("cards", "care", "N-1", str(file), "--size", "4x6")
        left = 3 - int(number)
        assert made["open_dates"] == ([{"batch": "N-1", "coats_to_come": left}] if left else [])
    while shop.json("batch", "show", "N-1")["next"] is not None:
        shop.ok("record", "step", "N-1")
    told = shop.ok("cards", "care", "N-1", str(file))
    assert "the date on a care card is sure to 90 in 100, the others here to 80" in told
    coats = shop.json("batch", "show", "N-1")["coats"]
    cured = max(coat["stages"]["cured"]["count_on"] for coat in coats)
    year, month, day = (int(part) for part in cured[:10].split("-"))
    said = text_of(file)
    assert "as expected" not in said
    after = dt.date(year, month, day) + dt.timedelta(days=1)
    assert f"before {after.day} {after:%B} {after.year}." in said
    made = shop.json("cards", "care", "N-1", str(file))
    assert made["dates"] == [{"batch": "N-1", "not_before": after.isoformat()}]
    # Where the maker goes by a surer level, so does the card.
    shop.ok("settings", "level", "97")
    used = shop.json("batch", "show", "N-1")["released"]["use"]
    (card,) = shop.json("cards", "care", "N-1", str(file))["dates"]
    assert card["not_before"] == (dt.date.fromisoformat(used[:10]) + dt.timedelta(days=1)).isoformat()
    assert card["not_before"] > after.isoformat()
    assert "sure to" not in shop.ok("cards", "care", "N-1", str(file))


def test_no_date_where_none_is_known(shop: Command, tmp_path: Path) -> None:
    """Bare oily wood under an oxidising finish: no date at all."""
    add(shop, "C-1", "hard-wax-two", woods="cocobolo")
    shop.ok("record", "coat", "C-1")
    shop.ok("cards", "care", "C-1", str(tmp_path / "c.pdf"))
    assert "until its maker says that it has hardened" in text_of(tmp_path / "c.pdf")
    shop.ok("cards", "rack", "C-1", str(tmp_path / "r.pdf"))
    assert "no date" in text_of(tmp_path / "r.pdf")


def test_record_is_one_page(shop: Command, tmp_path: Path) -> None:
    shop.ok("record", "coat", "T-1", "--amount", "30mL", "--can", "1", "--maker", "Ada", "--note", "a run at one edge")
    opened = Shop.open(now_hour())
    for _ in range(90):
        note_test(opened, TestDraft("T-1", Stage.DRY_TO_TOUCH, Finding.TACKY), now_hour())
    opened.close()
    file = tmp_path / "record.pdf"
    assert shop.json("cards", "record", "T-1", str(file), "--sheet", "letter")["pages"] == 1
    said = text_of(file)
    for part in ("tea trays ×4", "Wiping varnish", "can 1", "30 mL", "Ada", "not read", "a run at one edge", "more:",
                 "finishing trace T-1", "released by"):  # fmt: skip
        assert part in said, part
    assert codes_on(file) == ["T-1"]


SCRIPTS = "木の皿 한국어 简体 صواني हिन्दी עץ ไม้ дерево ξύλο gỗ Ærø 🪵"


def test_a_round_piece_and_the_first_work_stand_on_its_record(shop: Command, tmp_path: Path) -> None:
    shop.ok(
        "batch", "add", "--what", "coasters", "--pieces", "8", "--size", "round 180x15", "--species", "hard maple",
        "--schedule", "wiped-varnish-four", "--place", "loft", "--code", "R-1",
    )  # fmt: skip
    file = tmp_path / "r.pdf"
    shop.ok("cards", "record", "R-1", str(file))
    assert "round 180 mm × 15 mm" in text_of(file)
    assert "added Tue 10 Mar 09:00" in text_of(file)
    assert "added 09:00" in shop.ok("trace", "R-1")
    shop.ok("record", "step", "R-1", "--at", "2026-03-09 14:30")
    shop.ok("cards", "record", "R-1", str(file))
    assert "begun Mon 9 Mar 14:30" in text_of(file)
    assert "begun yesterday 14:30" in shop.ok("trace", "R-1")
    found = shop.json("trace", "R-1")
    assert (found["begun_at"], found["added_at"]) == ("2026-03-09T14:30:00+01:00", "2026-03-10T09:00:00+01:00")
    assert "round 180 mm × 15 mm each" in shop.ok("batch", "show", "R-1")


def test_any_script_prints(shop: Command, tmp_path: Path) -> None:
    """Every sign is in a font that is in the file and can be read back; none is drawn as a font's empty box."""
    title = "皿 עץ 🪵 ξ"
    add(shop, "W-1", "hard-wax-two", what=title)
    shop.ok("record", "step", "W-1", "--note", SCRIPTS)
    for kind in ("rack", "care", "record"):
        file = tmp_path / f"{kind}.pdf"
        made = shop.json("cards", kind, "W-1", str(file))
        assert (made["unprintable"], made["cut"]) == ([], [])
        said = text_of(file)
        for sign in f"{title}{SCRIPTS if kind == 'record' else ''}".replace(" ", "").casefold():
            if not sign.isascii():
                assert sign in said.casefold(), (kind, sign)


def test_letters_of_another_script_are_as_bold_as_their_neighbours(tmp_path: Path) -> None:
    """Drawn by pdfium: there is a quarter more ink in a bold word, in Hebrew and in Latin alike."""
    ink = {}
    for style in ("", "B"):
        for word in ("trays", "מגשים"):
            pen = Pen(dt.datetime(2026, 3, 1, tzinfo=dt.UTC), "ink")
            pen.pdf.add_page(format=(60, 20))
            pen.write(5, 5, 50, word, 24, style)  # type: ignore[arg-type]
            with pypdfium2.PdfDocument(pen.bytes()) as drawn:
                picture = drawn[0].render(scale=3).to_pil().convert("L")
                ink[word, style] = sum(255 - shade for shade in picture.tobytes())
    for word in ("trays", "מגשים"):
        assert ink[word, "B"] > 1.25 * ink[word, ""] > 0, word


def test_what_no_font_has_is_told(shop: Command, tmp_path: Path) -> None:
    """A cuneiform sign, U+12345, and an unassigned one are printed as their numbers, and said to be."""
    add(shop, "Q-1", "hard-wax-two", what="tablet \U00012345\U000e0fff")
    file = tmp_path / "q.pdf"
    assert shop.json("cards", "rack", "Q-1", str(file))["unprintable"] == ["U+12345", "U+E0FFF"]
    assert "[U+12345][U+E0FFF]" in text_of(file)
    assert "printed as their numbers" in shop.ok("cards", "rack", "Q-1", str(file))


def test_hostile_text_stays_text(shop: Command, tmp_path: Path) -> None:
    add(shop, "H-1", "hard-wax-two", what="x\x1b[31m\u202e**bold** --(cid:3) " + "long " * 25)
    assert shop.json("cards", "care", "H-1", str(tmp_path / "h.pdf"))["cut"] == []
    shop.ok("cards", "rack", "H-1", str(tmp_path / "h.pdf"))
    said = text_of(tmp_path / "h.pdf")
    assert "\\x1b[31m\\u202e**bold** --(cid:3)" in said
    assert "\x1b" not in said


def test_bad_input(shop: Command, tmp_path: Path) -> None:
    file = tmp_path / "x.pdf"
    assert "known batch" in shop.refused("cards", "rack", "nothing", str(file))
    file.write_text("mine", encoding="utf-8")
    assert "holds something else" in shop.refused("cards", "rack", "T-1", str(file))
    assert "no more than 500" in shop.refused("cards", "care", "T-1", "T-1", str(tmp_path / "y.pdf"), "--copies", "300")
    assert list(tmp_path.glob("*.pdf")) == [file]


def test_a_rack_card_goes_by_the_window_of_the_coat_right_below(
    shop: Command, clock: FrozenDateTimeFactory, tmp_path: Path
) -> None:
    """Coats on both faces, abraded before the third: it may wait, and the fourth goes by the third's window."""
    shop.ok("settings", "level", "50%")  # else it opens after it has probably shut
    shop.ok("batch", "add", "--what", "bowls", "--pieces", "2", "--code", "C-1", "--species", "hard maple",
            "--schedule", "wiped-varnish-in-window", "--place", "loft")  # fmt: skip
    file = tmp_path / "rack.pdf"

    def shuts() -> list[str]:
        coats = shop.json("batch", "show", "C-1")["coats"]
        return [f"before {dt.datetime.fromisoformat(c['window']['shuts']):%a %-d %b %H:%M}" for c in coats]

    for coat in range(1, 4):
        shop.ok("record", "coat", "C-1", "--coat", str(coat))
        shop.ok("cards", "rack", "C-1", str(file))
        said = text_of(file)
        assert (shuts()[-1] in said) is (coat != 2)
        assert not any(words in said for words in shuts()[:-1])
        clock.tick(dt.timedelta(hours=7))


def test_abrading_keeps_a_window_open_and_it_is_said_where_it_shuts(
    shop: Command, clock: FrozenDateTimeFactory
) -> None:
    """A coat that the schedule abrades, one that was abraded beside it, and one that was not."""
    shop.ok("batch", "add", "--what", "bowls", "--pieces", "2", "--code", "C-1", "--species", "hard maple",
            "--schedule", "wiped-varnish-in-window", "--place", "loft")  # fmt: skip
    shop.ok("record", "coat", "C-1")
    assert "abrad" not in shop.ok("batch", "show", "C-1").split("for the next coat")[1].splitlines()[0]
    clock.tick(dt.timedelta(hours=30))
    shop.ok("record", "abrade", "C-1")
    said = shop.ok("batch", "show", "C-1").split("for the next coat")[1].splitlines()[0]
    assert said.endswith("; abraded since, so it stays open")
    clock.tick(dt.timedelta(minutes=5))
    shop.ok("record", "coat", "C-1")
    said = shop.ok("batch", "show", "C-1").split("for the next coat")[2].splitlines()[0]
    assert said.endswith("; abrading before the next coat opens it again")
