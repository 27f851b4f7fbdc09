"""Receipts: found among the pictures and documents, read, checked, and matched with what was said to be bought."""
from __future__ import annotations

import datetime as dt
import importlib.util
import re
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path, PurePosixPath

import numpy as np
from PIL import Image
from rapidfuzz import fuzz

from witnessmark.errors import UnreadableFile
from witnessmark.model import Capture, Purchase, Settings
from witnessmark.photos import ocr
from witnessmark.photos.receipt_text import CENT, Line, ReceiptText, looks_like_one, parse
from witnessmark.photos.showing import upright

FOLDER_WORDS = re.compile(r"\b(receipts?|invoices?|bills?|till slips?|sales slips?)\b", re.IGNORECASE)
WITHIN = dt.timedelta(days=7)
SAME_VENDOR, SAME_ITEM = 80, 70
MOST_TOGETHER = 4
LOW_SCORE = 0.8
PDF_PAGES = 4
# Of 255: how colourless paper is, how steep the edge of a letter; and the share of such edges in print. Measured on
# drawn receipts of three qualities and drawn shop scenes; no published figure.
PALE, PRINT_STEP, PRINT_SHARE = 24, 18, (0.01, 0.45)


@dataclass(frozen=True, slots=True)
class Receipt:
    """One receipt: what it says, what does not add up (`problems`), and how far it is believed (0 to 1)."""

    sha256: str
    path: str
    vendor: str | None
    date: dt.date | None
    total: float | None
    tax: float | None
    lines: tuple[Line, ...]
    problems: tuple[str, ...]
    confidence: float


@dataclass(frozen=True, slots=True)
class Match:
    """A receipt and the purchase (by the key the caller gave it) that it proves; `problems` where they differ."""

    receipt: Receipt
    purchase: str
    confidence: float
    problems: tuple[str, ...] = ()


def is_filed_as_receipt(capture: Capture) -> bool:
    """Whether a picture or document lies in a folder, or has a name, that says receipt."""
    return capture.kind in ("photo", "document") and any(
        FOLDER_WORDS.search(re.sub(r"[_\W]+", " ", part)) for part in PurePosixPath(capture.path).parts)


def might_be_one(thumbnail: Path) -> bool:
    """Whether a picture is worth reading as a receipt: colourless paper in the middle, with fine print on it.

    Bare metal with chalk on it may pass as well; reading it (`read_receipt`) settles that.
    """
    with Image.open(thumbnail) as image:
        width, height = image.size
        middle = image.convert("RGB").crop((width // 4, height // 4, width * 3 // 4, height * 3 // 4))
    colours = np.asarray(middle, dtype=np.float32)
    spread = float((colours.max(axis=2) - colours.min(axis=2)).mean())
    steps = np.abs(np.diff(colours.mean(axis=2), axis=1)) > PRINT_STEP
    return spread < PALE and PRINT_SHARE[0] <= float(steps.mean()) <= PRINT_SHARE[1]


def read_receipt(root: Path, capture: Capture, settings: Settings) -> Receipt | None:
    """Read a receipt from a picture or a PDF; None where it reads like none, or cannot be read here.

    The figures of a picture are looked at twice; where the looks disagree, that is a problem of its own.
    """
    filed = capture.moment.at.date() if capture.moment.at and capture.moment.basis != "file-time" else None
    if capture.kind == "document":
        rows = pdf_rows(root / capture.path)
        text = parse(rows, filed, settings.currency) if looks_like_one(rows) else None
        return _made(capture, text, 1.0) if text else None
    if not ocr.available():
        return None
    image = upright(root / capture.path, ocr.SIZE)
    seen = ocr.read(image)
    if not looks_like_one(_joined(seen)):
        return None
    first = _parsed(seen, filed, settings)
    again = ocr.read_again(image, seen)
    second = _parsed(again, filed, settings)
    chosen = min((first, second), key=lambda text: len(text.problems))
    return _made(capture, _compared(chosen, first, second), statistics.fmean(piece.score for piece in seen))


def _joined(seen: Sequence[ocr.Seen]) -> list[str]:
    return [" ".join(piece.text for piece in line) for line in ocr.rows(seen)]


def _parsed(seen: Sequence[ocr.Seen], filed: dt.date | None, settings: Settings) -> ReceiptText:
    heights = [max(piece.height for piece in line) for line in ocr.rows(seen)]
    return parse(_joined(seen), filed, settings.currency, heights)


def _compared(chosen: ReceiptText, first: ReceiptText, second: ReceiptText) -> ReceiptText:
    """The better look, with a problem for the total or date that the other one reads differently."""
    found = []
    for name in ("total", "date"):
        values = {str(getattr(text, name)) for text in (first, second)}
        if len(values) > 1:
            found.append(f"the {name} was read as {' and as '.join(sorted(values))}")
    return replace(chosen, problems=(*chosen.problems, *found))


def _made(capture: Capture, text: ReceiptText, score: float) -> Receipt:
    problems = text.problems
    if score < LOW_SCORE:
        problems = (*problems, "the print is hard to read: check it")
    confidence = round(max(0.1, score - 0.25 * len(problems)), 3)
    return Receipt(capture.sha256, capture.path, text.vendor, text.date, text.total, text.tax, text.lines, problems,
                   confidence)


def pdf_rows(path: Path) -> list[str]:
    """The rows of text of a PDF's first pages; UnreadableFile where it is damaged or locked."""
    if importlib.util.find_spec("pypdf") is None:
        return []
    from pypdf import PdfReader

    try:
        pages = PdfReader(path).pages[:PDF_PAGES]
        text = "\n".join(page.extract_text(extraction_mode="layout") for page in pages)
    except Exception as error:  # pypdf raises many kinds of errors on damaged files
        raise UnreadableFile(f"{path.name} cannot be read ({type(error).__name__}): "
                             "save it again without a password") from None
    return [row for row in text.splitlines() if row.strip()]


def match_receipts(receipts: Sequence[Receipt], purchases: Mapping[str, Purchase],
                   days: Mapping[str, dt.date]) -> tuple[Match, ...]:
    """Pair receipts with purchases: vendor, date within a week, amount of a line, of several, or of the whole.

    `days` gives the day of each purchase (of its date, or of the narration). A purchase is proved by one receipt;
    a receipt may prove several purchases. Differences of amount are problems of the match, not silently resolved.
    """
    open_keys = [key for key, purchase in purchases.items() if purchase.status in ("bought", "ordered", "received")]
    matches: list[Match] = []
    offers = sorted(((offer, receipt, key) for receipt in receipts for key in open_keys
                     if (offer := _offer(receipt, purchases[key], days.get(key)))),
                    key=lambda item: -item[0][0])
    taken: set[str] = set()
    for (confidence, problems), receipt, key in offers:
        if key not in taken:
            taken.add(key)
            matches.append(Match(receipt, key, confidence, problems))
    for receipt in receipts:
        matches += _together(receipt, {key: purchases[key] for key in open_keys if key not in taken}, days, taken)
    return tuple(matches)


def _offer(receipt: Receipt, purchase: Purchase, day: dt.date | None) -> tuple[float, tuple[str, ...]] | None:
    """How well a receipt proves a purchase, and what differs; None where it does not."""
    if receipt.date is None or day is None or abs(receipt.date - day) > WITHIN:
        return None
    vendor = _same_vendor(receipt.vendor, purchase.vendor)
    if vendor is False:
        return None
    line = _line_of(receipt, purchase)
    amount_fits = _fits(purchase, [receipt.total, *(line.amount for line in receipt.lines)])
    nearness = 0.1 * (1 - abs(receipt.date - day) / WITHIN)
    if line and _fits(purchase, [line.amount]):
        return 0.85 + nearness, ()
    if amount_fits and vendor:
        return 0.75 + nearness, ()
    if line and vendor:
        problem = () if purchase.amount_low is None else (
            f"said {_said(purchase)}, printed {line.amount:.2f} for {line.item}",)
        return 0.6 + nearness, problem
    return (0.5 + nearness, ()) if amount_fits and len(receipt.lines) <= 1 else None


def _same_vendor(printed: str | None, said: str | None) -> bool | None:
    """True or False where both are known, else None."""
    if not printed or not said:
        return None
    bare_printed, bare_said = (re.sub(r"\W+", "", name.lower()) for name in (printed, said))
    return fuzz.token_set_ratio(printed.lower(), said.lower()) >= SAME_VENDOR \
        or fuzz.partial_ratio(bare_printed, bare_said) >= SAME_VENDOR + 5  # recognisers lose the blanks


def _line_of(receipt: Receipt, purchase: Purchase) -> Line | None:
    """The line that names the thing, abbreviated as tills do."""
    best = max(receipt.lines, key=lambda line: _likeness(line.item, purchase.item), default=None)
    return best if best and _likeness(best.item, purchase.item) >= SAME_ITEM else None


def _likeness(printed: str, said: str) -> float:
    bare_printed, bare_said = (re.sub(r"\W+", "", name.lower()) for name in (printed, said))
    return max(fuzz.token_set_ratio(printed.lower(), said.lower()),
               fuzz.partial_token_sort_ratio(printed.lower(), said.lower()) if len(said) > 3 else 0.0,
               fuzz.partial_ratio(bare_printed, bare_said) if len(bare_said) > 4 < len(bare_printed) else 0.0)


def _fits(purchase: Purchase, amounts: Sequence[float | None]) -> bool:
    """Whether one of the amounts is what was said; people leave out cents ("eighteen dollars" for 18.49)."""
    if purchase.amount_low is None or purchase.amount_high is None:
        return False
    low, high = purchase.amount_low, purchase.amount_high
    slack = 1.0 if low == int(low) else CENT
    return any(amount is not None and low - slack < amount < high + slack for amount in amounts)


def _said(purchase: Purchase) -> str:
    low, high = purchase.amount_low or 0.0, purchase.amount_high or 0.0
    return f"{low:.2f}" if low == high else f"{low:.2f} to {high:.2f}"


def _together(receipt: Receipt, purchases: Mapping[str, Purchase], days: Mapping[str, dt.date],
              taken: set[str]) -> list[Match]:
    """Purchases of one vendor that together make the total of a receipt."""
    if receipt.total is None or receipt.date is None:
        return []
    near = [key for key, purchase in purchases.items() if key in days and abs(days[key] - receipt.date) <= WITHIN
            and purchase.amount_low is not None and _same_vendor(receipt.vendor, purchase.vendor)]
    for count in range(2, MOST_TOGETHER + 1):
        for keys in combinations(near[:12], count):
            low = sum(purchases[key].amount_low or 0.0 for key in keys)
            high = sum(purchases[key].amount_high or 0.0 for key in keys)
            if any(low - CENT <= whole <= high + CENT for whole in (receipt.total, receipt.total - (receipt.tax or 0))):
                taken.update(keys)
                return [Match(receipt, key, 0.7) for key in keys]
    return []
