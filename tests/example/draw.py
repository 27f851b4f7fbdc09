"""Draws the example's scenes: parts of an aeroplane on a wooden bench, 1200 by 900 units, seen from above.

A scene is a function of a `Bench`; `scene(name, size)` gives it as a picture. Colours follow the trade:
bare sheet is grey, primed sheet green, finished surfaces white with a red stripe.
"""
from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Sequence

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

WIDTH, HEIGHT, FINE = 1200, 900, 2
BARE, PRIMED, GOLD, WHITE, RED = (176, 182, 190), (122, 150, 98), (201, 168, 84), (240, 240, 236), (176, 42, 38)
SEALANT, FOAM, DARK, PANEL = (120, 92, 70), (226, 214, 170), (40, 42, 46), (66, 70, 78)
Point = tuple[float, float]
Colour = tuple[int, int, int]


def shade(colour: Colour, factor: float) -> Colour:
    red, green, blue = (max(0, min(255, round(channel * factor))) for channel in colour)
    return red, green, blue


class Bench:
    """A canvas in units of 1200 × 900 with a bench top, on which things cast a soft shadow."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.image = Image.new("RGB", (WIDTH * FINE, HEIGHT * FINE), (150, 116, 78))
        self._planks()

    def _planks(self) -> None:
        pen = ImageDraw.Draw(self.image)
        for row in range(6):
            top = row * HEIGHT * FINE // 6
            base = shade((158, 122, 82), self.random.uniform(0.88, 1.08))
            pen.rectangle([0, top, WIDTH * FINE, top + HEIGHT * FINE // 6], fill=base)
            for _ in range(26):
                y = top + self.random.uniform(4, HEIGHT * FINE / 6 - 4)
                grain = shade(base, self.random.uniform(0.86, 0.97))
                pen.line([0, y, WIDTH * FINE, y + self.random.uniform(-14, 14)], fill=grain, width=2)
            pen.line([0, top, WIDTH * FINE, top], fill=shade(base, 0.6), width=4)

    def _shadow(self, points: Sequence[Point]) -> None:
        mask = Image.new("L", self.image.size, 0)
        ImageDraw.Draw(mask).polygon([((x + 9) * FINE, (y + 12) * FINE) for x, y in points], fill=130)
        mask = mask.filter(ImageFilter.GaussianBlur(14))
        self.image = Image.composite(ImageChops.multiply(
            self.image, Image.new("RGB", self.image.size, (120, 112, 104))), self.image, mask)

    def plate(self, points: Sequence[Point], colour: Colour, shadow: bool = True) -> None:
        """A piece of sheet with a lit and a dark edge."""
        if shadow:
            self._shadow(points)
        pen = ImageDraw.Draw(self.image)
        fine = [(x * FINE, y * FINE) for x, y in points]
        pen.polygon(fine, fill=colour)
        pen.line([*fine, fine[0]], fill=shade(colour, 0.6), width=5, joint="curve")

    def line(self, a: Point, b: Point, colour: Colour, width: float = 3) -> None:
        ImageDraw.Draw(self.image).line([a[0] * FINE, a[1] * FINE, b[0] * FINE, b[1] * FINE], fill=colour,
                                        width=round(width * FINE))

    def disc(self, centre: Point, radius: float, colour: Colour, rim: Colour | None = None) -> None:
        x, y = centre
        box = [(x - radius) * FINE, (y - radius) * FINE, (x + radius) * FINE, (y + radius) * FINE]
        ImageDraw.Draw(self.image).ellipse(box, fill=colour, outline=rim, width=3 if rim else 0)

    def row(self, a: Point, b: Point, count: int, colour: Colour, radius: float = 4) -> None:
        """A row of holes or rivet heads."""
        for step in range(count):
            at = step / max(count - 1, 1)
            self.disc((a[0] + (b[0] - a[0]) * at, a[1] + (b[1] - a[1]) * at), radius, colour)

    def chalk(self, text: str, at: Point, size: int = 54, colour: Colour = (250, 248, 240)) -> None:
        font = ImageFont.load_default(size * FINE)
        ImageDraw.Draw(self.image).text((at[0] * FINE, at[1] * FINE), text, fill=colour, font=font)

    def picture(self, size: tuple[int, int]) -> Image.Image:
        """The finished picture: lit from the left, with a little grain of the sensor."""
        small = self.image.resize(size, Image.Resampling.LANCZOS)
        light = Image.linear_gradient("L").rotate(90).resize(size).point(lambda v: 170 + v // 3)
        lit = ImageChops.multiply(small, Image.merge("RGB", (light, light, light)))
        grain = Image.effect_noise(size, 9).convert("RGB")
        return Image.blend(lit, ImageChops.overlay(lit, grain), 0.25)


def rib(bench: Bench, x: float, y: float, length: float, colour: Colour, crack: bool = False) -> None:
    """A pressed rib with three lightening holes; a crack at the nose bend if asked."""
    depth = length * 0.22
    points = [(x, y - depth * 0.35), (x + length * 0.1, y - depth * 0.5), (x + length * 0.5, y - depth * 0.42),
              (x + length, y - depth * 0.08), (x + length, y + depth * 0.08), (x + length * 0.5, y + depth * 0.42),
              (x + length * 0.1, y + depth * 0.5), (x, y + depth * 0.35)]
    bench.plate(points, colour)
    for at, size in ((0.17, 0.27), (0.37, 0.22), (0.57, 0.16)):
        bench.disc((x + length * at, y), depth * size, shade((150, 116, 78), 0.8), shade(colour, 0.6))
    bench.row((x + length * 0.12, y - depth * 0.42), (x + length * 0.94, y - depth * 0.1), 9, DARK, 3)
    if crack:
        steps = ((4, -0.3), (22, -0.16), (14, -0.05), (34, 0.1))
        at = [(x + right, y + depth * down) for right, down in steps]
        for a, b in itertools.pairwise(at):
            bench.line(a, b, (30, 20, 20), 4)


def spar(bench: Bench, y: float, colour: Colour, x: float = 80, length: float = 1040) -> None:
    """A channel with its rivet line and tooling holes."""
    bench.plate([(x, y - 44), (x + length, y - 30), (x + length, y + 30), (x, y + 44)], colour)
    bench.plate([(x, y - 44), (x + length, y - 30), (x + length, y - 18), (x, y - 28)], shade(colour, 1.1), False)
    bench.row((x + 26, y + 24), (x + length - 26, y + 16), 30, DARK, 3.4)
    bench.row((x + 26, y - 36), (x + length - 26, y - 24), 30, DARK, 3.4)


def surface(bench: Bench, colour: Colour, points: Sequence[Point], rivets: int = 0) -> None:
    bench.plate(points, colour)
    if rivets:
        for a, b in zip(points, [*points[1:], points[0]], strict=True):
            middle = (sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points))
            inward = [(p[0] + (middle[0] - p[0]) * 0.05, p[1] + (middle[1] - p[1]) * 0.07) for p in (a, b)]
            bench.row(inward[0], inward[1], rivets, shade(colour, 0.72), 4)


RUDDER = [(330, 90), (720, 60), (900, 300), (900, 830), (330, 830)]
FLAP = [(60, 320), (1140, 320), (1140, 560), (60, 600)]


def skeleton(bench: Bench, outline: Sequence[Point], colour: Colour, upright: bool) -> None:
    """Spar and ribs without their skins: what is seen inside before closing up."""
    xs, ys = [p[0] for p in outline], [p[1] for p in outline]
    left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
    if upright:
        bench.plate([(left, top + 30), (left + 46, top + 26), (left + 46, bottom), (left, bottom)], colour)
        for step in range(7):
            length = (right - left) * (0.55 + step * 0.06)
            rib(bench, left + 46, top + 70 + step * (bottom - top - 100) / 6, length, colour)
    else:
        spar(bench, top + 20, colour, left, right - left)
        for step in range(8):
            x = left + 40 + step * (right - left - 90) / 7
            bench.plate([(x, top + 50), (x + 26, top + 50), (x + 18, bottom), (x + 4, bottom)], shade(colour, 0.94))
            bench.disc((x + 13, top + 110), 8, shade((150, 116, 78), 0.8))
            bench.disc((x + 12, top + 165), 6, shade((150, 116, 78), 0.8))


def many_ribs(colour: Colour) -> Callable[[Bench], None]:
    def draw(bench: Bench) -> None:
        for number in range(7):
            rib(bench, 120 + (number % 2) * 520, 130 + (number // 2) * 200, 460 - number * 12, colour)
    return draw


def one_rib(crack: bool) -> Callable[[Bench], None]:
    def draw(bench: Bench) -> None:
        rib(bench, 160, 450, 880, BARE, crack)
        if crack:
            box = [(150 * FINE, 350 * FINE), (260 * FINE, 500 * FINE)]
            ImageDraw.Draw(bench.image).ellipse([*box[0], *box[1]], outline=(210, 40, 40), width=12)
            bench.chalk("CRACK", (170, 250), 50, (210, 40, 40))
    return draw


def hinge_brackets(bench: Bench) -> None:
    for x in (190, 490, 790):
        bench.plate([(x, 300), (x + 200, 300), (x + 200, 380), (x + 140, 560), (x + 60, 560), (x, 380)], GOLD)
        bench.disc((x + 100, 505), 30, DARK, shade(GOLD, 1.2))
        bench.row((x + 26, 328), (x + 174, 328), 5, DARK, 8)


def stiffeners(bench: Bench) -> None:
    surface(bench, BARE, [(180, 90), (1020, 90), (1020, 810), (180, 810)], 18)
    for row in range(6):
        y = 170 + row * 112
        bench.plate([(260, y), (940, y), (940, y + 30), (260, y + 30)], shade(BARE, 1.12))
        bench.row((280, y + 15), (920, y + 15), 16, shade(BARE, 0.55), 5)


def skin(colour: Colour, dimples: bool = False) -> Callable[[Bench], None]:
    def draw(bench: Bench) -> None:
        surface(bench, colour, [(90, 180), (1110, 160), (1110, 720), (90, 740)], 26)
        for row in range(1, 5):
            y = 180 + row * 110
            bench.row((130, y), (1070, y), 30, shade(colour, 0.62 if dimples else 0.4), 6 if dimples else 4)
    return draw


def painted_rudder(colour: Colour, stripe: bool, rivets: int) -> Callable[[Bench], None]:
    def draw(bench: Bench) -> None:
        surface(bench, colour, RUDDER, rivets)
        if stripe:
            bench.plate([(330, 560), (900, 480), (900, 570), (330, 650)], RED, False)
    return draw


def flap(colour: Colour, rivets: int = 34) -> Callable[[Bench], None]:
    def draw(bench: Bench) -> None:
        surface(bench, colour, FLAP, rivets)
        for x in (220, 600, 980):
            bench.plate([(x - 26, 250), (x + 26, 250), (x + 18, 330), (x - 18, 330)], GOLD)
            bench.disc((x, 272), 10, DARK)
    return draw


def flap_riveting(bench: Bench) -> None:
    flap(BARE, 20)(bench)
    bench.plate([(700, 430), (900, 360), (915, 400), (716, 470)], (120, 126, 134))
    bench.plate([(880, 350), (960, 330), (1010, 520), (950, 540)], DARK)
    bench.line((985, 530), (1060, 880), (190, 60, 50), 16)


def flap_installed(bench: Bench) -> None:
    bench.plate([(20, 60), (1180, 60), (1180, 400), (20, 400)], WHITE)
    bench.plate([(40, 430), (1160, 430), (1160, 700), (40, 730)], WHITE)
    bench.plate([(40, 600), (1160, 585), (1160, 640), (40, 658)], RED, False)
    for x in (240, 600, 960):
        bench.plate([(x - 24, 390), (x + 24, 390), (x + 16, 450), (x - 16, 450)], GOLD)
        bench.disc((x, 418), 13, BARE, DARK)
        bench.line((x - 12, 404), (x + 16, 434), (255, 120, 0), 5)


def tank_baffles(colour: Colour, sealant: bool) -> Callable[[Bench], None]:
    def draw(bench: Bench) -> None:
        bench.plate([(110, 170), (1090, 170), (1090, 740), (110, 740)], shade(BARE, 0.9))
        for x in (290, 520, 750, 960):
            if sealant:
                bench.plate([(x - 18, 180), (x + 58, 180), (x + 58, 730), (x - 18, 730)], SEALANT, False)
            bench.plate([(x, 190), (x + 40, 190), (x + 40, 720), (x, 720)], colour)
            for y in (290, 455, 620):
                bench.disc((x + 20, y), 15, DARK)
    return draw


def tank_test(bench: Bench) -> None:
    surface(bench, BARE, [(130, 240), (1070, 240), (1070, 690), (130, 690)], 24)
    bench.disc((330, 400), 60, shade(BARE, 0.8), DARK)
    bench.disc((860, 480), 72, shade(BARE, 0.75), DARK)
    bench.row((812, 430), (908, 430), 3, DARK, 6)
    for step in range(26):
        angle, far = bench.random.uniform(0, math.tau), bench.random.uniform(74, 130)
        bench.disc((860 + far * math.cos(angle), 480 + far * math.sin(angle)), bench.random.uniform(5, 15 - step % 6),
                   (225, 236, 244), (160, 180, 196))


def cushions(bench: Bench) -> None:
    for x in (120, 640):
        bench.plate([(x, 180), (x + 440, 180), (x + 460, 720), (x - 20, 720)], (96, 58, 44))
        for row in range(1, 5):
            bench.line((x - 10, 180 + row * 108), (x + 450, 180 + row * 108), (58, 34, 26), 5)
        bench.line((x + 220, 185), (x + 220, 715), (58, 34, 26), 5)


def panel(bench: Bench) -> None:
    bench.plate([(70, 170), (1130, 170), (1130, 720), (70, 720)], PANEL)
    for number in range(6):
        centre = (210 + (number % 3) * 210, 310 + (number // 3) * 200)
        bench.disc(centre, 84, (18, 20, 22), (150, 154, 160))
        if number < 4:
            bench.disc(centre, 70, (30, 32, 36), (90, 94, 100))
            angle = number * 1.3 + 0.6
            bench.line(centre, (centre[0] + 58 * math.cos(angle), centre[1] + 58 * math.sin(angle)), (240, 240, 240), 5)
    for number in range(10):
        bench.disc((800 + (number % 5) * 66, 560 + (number // 5) * 70), 18, DARK if number < 4 else (120, 124, 130),
                   (220, 220, 220))


def fairing(bench: Bench) -> None:
    bench.plate([(230, 620), (330, 300), (560, 190), (840, 260), (980, 620)], (206, 214, 196))
    for step in range(18):
        bench.line((260 + step * 40, 610), (340 + step * 32, 270), (188, 198, 178), 2)
        bench.line((270, 320 + step * 17), (930, 330 + step * 17), (188, 198, 178), 2)
    bench.plate([(200, 620), (1010, 620), (1010, 690), (200, 690)], FOAM)


SCENES: dict[str, Callable[[Bench], None]] = {
    "rudder-ribs": many_ribs(BARE), "rudder-ribs-primed": many_ribs(PRIMED), "flap-ribs": many_ribs(shade(PRIMED, 1.1)),
    "rudder-spar": lambda bench: spar(bench, 430, BARE), "rudder-spar-primed": lambda bench: spar(bench, 430, PRIMED),
    "flap-spar": lambda bench: spar(bench, 500, BARE), "tip-rib": one_rib(False), "tip-rib-crack": one_rib(True),
    "rudder-skin": skin(BARE, True), "flap-skin": skin(shade(BARE, 1.05)), "flap-skin-primed": skin(PRIMED),
    "stiffeners": stiffeners, "hinge-brackets": hinge_brackets,
    "rudder-skeleton": lambda bench: skeleton(bench, RUDDER, PRIMED, True),
    "flap-skeleton": lambda bench: skeleton(bench, FLAP, PRIMED, False),
    "rudder-closed": painted_rudder(BARE, False, 22), "rudder-painted": painted_rudder(WHITE, True, 0),
    "flap-riveting": flap_riveting, "flap-closed": flap(BARE), "flap-installed": flap_installed,
    "tank-baffles": tank_baffles(shade(BARE, 1.1), False), "tank-baffles-sealed": tank_baffles(shade(BARE, 1.1), True),
    "tank-test": tank_test, "cushions": cushions, "panel": panel, "fairing": fairing,
}


def scene(name: str, size: tuple[int, int], seed: int = 0, chalk: str = "") -> Image.Image:
    """The scene of that name; `chalk` is written on the bench as a builder would."""
    bench = Bench(seed)
    SCENES[name](bench)
    if chalk:
        bench.chalk(chalk, (60, 790))
    return bench.picture(size)


def receipt(vendor: str, day: str, lines: Sequence[tuple[str, float]], tax: float, total: float) -> Image.Image:
    """A till receipt lying on the bench."""
    paper = Image.new("RGB", (620, 560 + 44 * len(lines)), (250, 249, 244))
    pen = ImageDraw.Draw(paper)
    big, small = ImageFont.load_default(36), ImageFont.load_default(28)
    pen.text((310, 50), vendor, fill=(20, 20, 20), font=big, anchor="mm")
    pen.text((310, 110), f"DATE {day}", fill=(20, 20, 20), font=small, anchor="mm")
    rows = [*lines, ("SUBTOTAL", sum(amount for _, amount in lines)), ("TAX", tax), ("TOTAL", total)]
    for number, (what, amount) in enumerate(rows):
        y = 190 + number * 44
        pen.text((50, y), what, fill=(20, 20, 20), font=small, anchor="lm")
        pen.text((570, y), f"{amount:.2f}", fill=(20, 20, 20), font=small, anchor="rm")
    pen.text((310, paper.height - 60), "THANK YOU", fill=(20, 20, 20), font=small, anchor="mm")
    bench = Bench(5).picture((900, 1200))
    bench.paste(paper, (140, 120))
    return bench
