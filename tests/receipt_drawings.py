"""Draws receipts whose vendor, date, tax and total are known, at three qualities of print.

"clean" is a till slip scanned; "faded" a thermal slip photographed a year later, a little askew; "poor" a crumpled
one, out of focus, in bad light, saved small. Vendors and goods are invented.
"""
from __future__ import annotations

import datetime as dt
import random
from dataclasses import dataclass

import numpy as np
from matplotlib import font_manager
from PIL import Image, ImageDraw, ImageFilter, ImageFont

QUALITIES = ("clean", "faded", "poor")
JPEG_QUALITY = {"clean": 92, "faded": 80, "poor": 45}
VENDORS = ("HOLLOWAY TOOL & SUPPLY", "Brindle Metals", "PIPER LANE HARDWARE", "Saltmarsh Aircraft Parts",
           "NORTHBANK FASTENERS", "Tern Valley Paint", "OXBOW INDUSTRIAL", "Kestrel Street Lumber")
GOODS = ("DRILL BIT #40", "AN470AD4-5 RIVETS", "SCOTCH PAD 3PK", "MASKING TAPE", "MEK 1 QT", "2024-T3 .032 2X4",
         "NITRILE GLOVES", "REAMER #30", "SAFETY WIRE .032", "SEALANT 6 OZ", "DEBURR BLADE", "CLECO 1/8 25PK",
         "AN3-5A BOLT", "EPOXY PRIMER", "SHOP TOWELS", "CUTOFF WHEEL")
DATE_FORMS = ("%m/%d/%Y", "%m/%d/%y", "%Y-%m-%d", "%d %b %Y", "%b %d, %Y")


@dataclass(frozen=True)
class Truth:
    """What a drawn receipt says."""

    vendor: str
    date: dt.date
    lines: tuple[tuple[str, float], ...]
    tax: float
    total: float


def invent(seed: int) -> tuple[Truth, list[tuple[str, str]]]:
    """A receipt and its rows (left text, right text)."""
    pick = random.Random(seed)
    day = dt.date(2024, 1, 1) + dt.timedelta(days=pick.randrange(700))
    lines = tuple((name, pick.randrange(129, 14_000) / 100) for name in pick.sample(GOODS, pick.randint(1, 6)))
    subtotal = round(sum(amount for _, amount in lines), 2)
    tax = round(subtotal * 0.0725, 2) if pick.random() < 0.7 else 0.0
    total = round(subtotal + tax, 2)
    rows = [(pick.choice(("", "RECEIPT", "Thank you for shopping")), ""),
            (f"Store {pick.randrange(100, 999)}  Reg 2", ""),
            (f"Date: {day.strftime(pick.choice(DATE_FORMS))}  {pick.randrange(8, 19)}:{pick.randrange(10, 59)}", ""),
            ("", ""), *((name, f"{amount:.2f}") for name, amount in lines), ("", "")]
    if tax:
        rows += [("SUBTOTAL", f"{subtotal:.2f}"), ("TAX 7.25%", f"{tax:.2f}")]
    rows += [("TOTAL", f"${total:.2f}"), ("", ""), ("VISA ****4417", f"{total:.2f}"), ("Thank you", "")]
    return Truth(VENDORS[seed % len(VENDORS)], day, lines, tax, total), rows


def draw(seed: int, quality: str) -> tuple[Image.Image, Truth]:
    """A picture of the receipt of this seed."""
    truth, rows = invent(seed)
    mono = font_manager.findfont("DejaVu Sans Mono")
    large, small = ImageFont.truetype(mono, 34), ImageFont.truetype(mono, 24)
    slip = Image.new("L", (560, 150 + 36 * len(rows)), 252)
    pen = ImageDraw.Draw(slip)
    ink = {"clean": 20, "faded": 120, "poor": 105}[quality]
    pen.text((280, 50), truth.vendor, fill=ink, font=large if len(truth.vendor) < 22 else small, anchor="mm")
    for number, (left, right) in enumerate(rows):
        pen.text((28, 96 + 36 * number), left, fill=ink, font=small)
        pen.text((532, 96 + 36 * number), right, fill=ink, font=small, anchor="ra")
    return _photographed(slip, quality, seed), truth


def _photographed(slip: Image.Image, quality: str, seed: int) -> Image.Image:
    if quality == "clean":
        return slip.convert("RGB")
    chance = np.random.default_rng(seed)
    angle = float(chance.uniform(-2.5, 2.5))
    ground = Image.new("L", (slip.width + 240, slip.height + 200), 96)
    ground.paste(slip, (120, 100))
    turned = ground.rotate(angle, resample=Image.Resampling.BICUBIC, fillcolor=96)
    if quality == "poor":
        turned = turned.filter(ImageFilter.GaussianBlur(1.1)).resize(
            (turned.width * 4 // 5, turned.height * 4 // 5), Image.Resampling.BILINEAR)
    pixels = np.asarray(turned, dtype=np.float32)
    rows, columns = np.mgrid[0:pixels.shape[0], 0:pixels.shape[1]]
    strength = 0.25 if quality == "faded" else 0.45
    light = 1 - strength * (columns / pixels.shape[1] * 0.6 + rows / pixels.shape[0] * 0.4)
    if quality == "poor":
        light *= 1 + 0.06 * np.sin(rows / 37 + columns / 53)
    noisy = pixels * light + chance.normal(0, 5 if quality == "faded" else 8, pixels.shape)
    return Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8)).convert("RGB")
