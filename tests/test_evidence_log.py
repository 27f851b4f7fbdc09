"""The log: PDF/A-2, tagged, all records in it, nothing off the page, hostile words shown as they were typed."""
from __future__ import annotations

import csv
import json
import re
import shutil
import sqlite3
import subprocess
from pathlib import Path

import evidence_journal
import pytest
from click.testing import CliRunner
from PIL import Image, ImageOps
from pypdf import PdfReader

from witnessmark.cli import main
from witnessmark.evidence import cells, chapters, log, typeset

NUMBER = re.compile(r"No\. (\d+)")
RECORD_TABLES = ("acts", "hours", "purchases", "open_items")


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return evidence_journal.make(tmp_path_factory.mktemp("evidence") / "journal").root


@pytest.fixture(scope="module")
def data(root: Path) -> Path:
    """The payload of a bag with money."""
    result = CliRunner().invoke(main, ["evidence", str(root), "--out", str(root.parent / "bag"), "--money"])
    assert result.exit_code == 0, result.output
    return root.parent / "bag" / "data"


@pytest.fixture(scope="module")
def pages(data: Path) -> list[str]:
    """The text of each page, without the marks at which long words may break."""
    return [page.extract_text().replace("\u200b", "") for page in PdfReader(data / "log.pdf").pages]


def test_it_is_pdf_a_2_level_a_and_pdf_ua(data: Path) -> None:
    """ISO 19005-2 and ISO 14289-1 are declared in the file's XMP metadata."""
    if not shutil.which("pdfinfo"):
        pytest.skip("pdfinfo is not installed")
    told, meta = (subprocess.run(["pdfinfo", *words, str(data / "log.pdf")], capture_output=True, text=True,
                                 check=True).stdout for words in ([], ["-meta"]))
    assert re.search(r"Tagged:\s+yes", told) and re.search(r"JavaScript:\s+no", told)
    assert "<pdfaid:part>2</pdfaid:part>" in meta and "<pdfaid:conformance>A</pdfaid:conformance>" in meta
    assert "<pdfuaid:part>1</pdfuaid:part>" in meta


def test_every_record_is_in_it_once(root: Path, pages: list[str], data: Path) -> None:
    with sqlite3.connect(root / ".witnessmark" / "journal.db") as db:
        count = sum(db.execute(f"SELECT count(*) FROM {kind}").fetchone()[0] for kind in RECORD_TABLES)
    daily = [page for page in pages if NUMBER.search(page)]
    numbers = [int(number) for page in daily for number in re.findall(r"(?m)^No\. (\d+)", page)]
    assert sorted(numbers) == list(range(1, count + 1))
    listed = [json.loads(line)["number"] for kind in RECORD_TABLES
              for line in (data / "records" / f"{kind}.jsonl").read_text(encoding="utf-8").splitlines()]
    assert sorted(listed) == sorted(numbers)


def test_the_first_page_bears_the_head_and_the_summary_ends_on_the_second(pages: list[str], root: Path) -> None:
    head = json.loads((root.parent / "bag/data/about.json").read_text(encoding="utf-8"))["register"]["head"]
    assert head in pages[0] and "no airworthiness" in " ".join(pages[0].split())
    assert "Summary" in pages[1] and "How this log was made" in pages[2]
    assert "Read and signed by the builder" in pages[-1] and "Signature of the builder" in pages[-1]


def test_others_work_plans_and_vague_days_are_shown_as_what_they_are(pages: list[str]) -> None:
    text = " ".join(" ".join(pages).split())
    assert "NOT THE BUILDER’S WORK: FOR HIRE Rudder pedal (flight controls): painted" in text
    assert "NOT THE BUILDER’S WORK: MAKER OF THE KIT OR PART Flap rib: bent or formed" in text
    assert "NOT DONE Rudder spar: priming, planned, not done" in text
    assert "NOT DONE Something not named: priming, advice or instructions, nothing done" in text
    assert "UNPAID HELPER Rudder skin: deburred" in text
    assert "About 13 March 2025 (no exact day)" in text and "7 March 2025 or earlier (no exact day)" in text
    assert "Open question: 3 or 8 hours?" in text


def test_hostile_words_stand_there_as_typed(pages: list[str]) -> None:
    """Letters of right-to-left scripts come out of a PDF in the order of the page, so their letters are compared."""
    text = re.sub(r"\s", "", "".join(pages))
    for said in evidence_journal.HOSTILE:
        shown = typeset.visible(said)
        if "ש" in said:
            assert all(letter in text for letter in set(said.replace(" ", "")))
        elif "😀" in said:
            assert "riveted" in text and ("😀" in text or "[U+1F600]" in text)
        else:
            assert re.sub(r"\s", "", shown) in text, said
    assert "[U+202E]" in text and "[U+0007]" in text


def test_nothing_runs_off_a_page(data: Path, tmp_path: Path) -> None:
    """On every page, drawn in grey, the margins of 10 mm at the sides are white."""
    if not shutil.which("pdftoppm"):
        pytest.skip("pdftoppm is not installed")
    subprocess.run(["pdftoppm", "-r", "40", "-gray", str(data / "log.pdf"), str(tmp_path / "page")], check=True)
    drawn = sorted(tmp_path.glob("page*.pgm"))
    assert len(drawn) == len(PdfReader(data / "log.pdf").pages)
    for file in drawn:
        with Image.open(file) as image:
            margin = round(10 / 25.4 * 40)
            box = ImageOps.invert(image.convert("L")).point(lambda ink: 255 if ink > 24 else 0).getbbox()
            assert box is not None and box[0] >= margin and box[2] <= image.width - margin, file.name


def test_the_picture_is_in_it_with_a_description(data: Path) -> None:
    reader = PdfReader(data / "log.pdf")
    assert sum(len(page.images) for page in reader.pages) == 1
    raw = (data / "log.pdf").read_bytes()
    found = [item.get_object() for item in _elements(reader.trailer["/Root"]["/StructTreeRoot"])]  # type: ignore[index]
    assert any("rudder spar 50%.jpg" in str(item.get("/Alt", "")) for item in found) and raw.startswith(b"%PDF-1.7")


def _elements(node: object) -> list:  # type: ignore[type-arg]
    """All structure elements below a node of the tag tree."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, list):
        return [found for item in node for found in _elements(item)]
    if not isinstance(node, dict):
        return []
    return [node, *(_elements(node["/K"]) if "/K" in node else [])]


def test_the_example_journal_is_all_in_its_log(indexed_example: Path, tmp_path: Path) -> None:
    """Films, sound, notes, photos and receipts, indexed by the real command."""
    result = CliRunner().invoke(main, ["evidence", str(indexed_example), "--out", str(tmp_path / "bag"), "--money"])
    assert result.exit_code == 0, result.output
    with sqlite3.connect(indexed_example / ".witnessmark" / "journal.db") as db:
        count = sum(db.execute(f"SELECT count(*) FROM {kind}").fetchone()[0] for kind in RECORD_TABLES)
        films = db.execute("SELECT count(*) FROM acts WHERE picture IS NOT NULL").fetchone()[0]
    reader = PdfReader(tmp_path / "bag" / "data" / "log.pdf")
    numbers = [number for page in reader.pages for number in re.findall(r"(?m)^No\. (\d+)", page.extract_text())]
    assert sorted(map(int, numbers)) == list(range(1, count + 1))
    assert films and sum(len(page.images) for page in reader.pages) > 5


def test_cells_are_safe_in_a_spreadsheet_and_lines_are_exact(data: Path) -> None:
    """OWASP, CSV Injection: no cell may begin with one of these."""
    for file in data.rglob("*.csv"):
        with file.open(encoding="utf-8", newline="") as opened:
            for row in csv.reader(opened):
                assert not [cell for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))
                            and not re.fullmatch(r"-?\d+(\.\d+)?", cell)], file
    quotes = [json.loads(line)["quote"] for line in
              (data / "records/acts.jsonl").read_text(encoding="utf-8").splitlines()]
    assert set(evidence_journal.HOSTILE) <= set(quotes)
    with (data / "records/acts.csv").open(encoding="utf-8", newline="") as opened:
        assert "'=cmd()" in [row["quote"] for row in csv.DictReader(opened)]


@pytest.mark.parametrize("text", ["=1+1", "+49", "-x", "@a", "\tx", "＝1", " =1", "'=1", "plain", "", "it's"])
def test_a_cell_comes_back_as_it_was(text: str) -> None:
    assert cells.plain(cells.safe(text)) == text or text.startswith("'")
    assert not cells.safe(text).lstrip(" ").startswith(cells.FORMULA)


def test_characters_without_a_glyph_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """U+10FFFD is for private use and U+13430 an Egyptian format control: no font draws the first."""
    lacking = typeset.without_glyph({"sections": ["plain", "Grüße", "x\U0010fffd"]})
    assert lacking == {"\U0010fffd"}
    assert typeset.replaced({"a": ["x\U0010fffd"]}, lacking) == {"a": ["x[U+10FFFD]"]}


def test_a_long_log_is_parted_without_losing_a_record() -> None:
    """Volumes hold at most so many records each, in order; tables are parted with their heading."""
    day = [{"heading": f"Day {n}", "entries": [{"number": n * 10 + k} for k in range(7)]} for n in range(40)]
    sections = [{"kind": "days", "heading": "Day by day", "intro": [], "days": day},
                chapters.table("Index", ("a",), ("1",), [[str(n)] for n in range(900)])]
    volumes = list(log.into_volumes(sections, 50))
    assert len(volumes) > 5
    numbers = [entry["number"] for volume in volumes for section in volume for day in section.get("days", ())
               for entry in day["entries"]]
    assert numbers == [n * 10 + k for n in range(40) for k in range(7)]
    rows = [row[0] for volume in volumes for section in volume for row in section.get("rows", ())]
    assert rows == [str(n) for n in range(900)]
    for volume in volumes:
        assert sum(len(day["entries"]) for section in volume for day in section.get("days", ())) <= 50
        assert all(section["heading"] for section in volume)


def test_a_single_day_longer_than_a_volume_is_parted_under_its_heading() -> None:
    day = [{"heading": "Long day", "entries": [{"number": n} for n in range(130)]}]
    volumes = list(log.into_volumes([{"kind": "days", "heading": "Day by day", "intro": [], "days": day}], 50))
    assert [len(volume[0]["days"][0]["entries"]) for volume in volumes] == [50, 50, 30]
    assert {volume[0]["days"][0]["heading"] for volume in volumes} == {"Long day"}
