"""Small pictures and recordings with the tags that a test asks for."""
from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import av
import numpy as np
import pillow_heif
from PIL import Image, ImageDraw

pillow_heif.register_heif_opener()

# Tag numbers of CIPA DC-008.
IMAGE = {"ImageDescription": 0x010E, "Make": 0x010F, "Model": 0x0110, "Orientation": 0x0112, "DateTime": 0x0132,
         "XPComment": 0x9C9C, "XPKeywords": 0x9C9E}
DETAIL = {"DateTimeOriginal": 0x9003, "DateTimeDigitized": 0x9004, "OffsetTime": 0x9010, "OffsetTimeOriginal": 0x9011,
          "OffsetTimeDigitized": 0x9012, "UserComment": 0x9286, "SubSecTime": 0x9290,
          "SubSecTimeOriginal": 0x9291, "SubSecTimeDigitized": 0x9292}
PLACE = {"GPSLatitudeRef": 1, "GPSLatitude": 2, "GPSLongitudeRef": 3, "GPSLongitude": 4, "GPSTimeStamp": 7,
         "GPSDateStamp": 29}
XMP = """<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:photoshop="http://ns.adobe.com/photoshop/1.0/" xmlns:lr="http://ns.adobe.com/lightroom/1.0/" {attributes}>
<dc:description><rdf:Alt><rdf:li xml:lang="de">Rippe</rdf:li><rdf:li xml:lang="x-default">{caption}</rdf:li></rdf:Alt>
</dc:description><dc:subject><rdf:Bag>{keywords}</rdf:Bag></dc:subject></rdf:Description></rdf:RDF></x:xmpmeta>"""


def exif(**values: Any) -> Image.Exif:
    """An EXIF block with these tags, by their names."""
    block = Image.Exif()
    detail, place = block.get_ifd(0x8769), block.get_ifd(0x8825)
    for name, value in values.items():
        if name in IMAGE:
            block[IMAGE[name]] = value
        elif name in DETAIL:
            detail[DETAIL[name]] = value
        else:
            place[PLACE[name]] = value
    return block


def xmp(caption: str, keywords: tuple[str, ...] = (), attributes: str = "") -> bytes:
    """An XMP packet with a caption in two languages."""
    items = "".join(f"<rdf:li>{word}</rdf:li>" for word in keywords)
    return XMP.format(caption=caption, keywords=items, attributes=attributes).encode()


def marked(size: tuple[int, int] = (96, 64)) -> Image.Image:
    """A grey picture with a red upper left quarter, so that turning shows."""
    image = Image.new("RGB", size, (128, 128, 128))
    ImageDraw.Draw(image).rectangle([0, 0, size[0] // 2, size[1] // 2], fill=(220, 20, 20))
    return image


def photo(path: Path, image: Image.Image | None = None, packet: bytes = b"", **tags: Any) -> Path:
    """A picture at `path`; its format by the suffix."""
    path.parent.mkdir(parents=True, exist_ok=True)
    options: dict[str, Any] = {"exif": exif(**tags)} if tags else {}
    if packet:
        options["xmp"] = packet
    (image or marked()).save(path, **options)
    return path


def recording(path: Path, seconds: float = 2.0, video: bool = True, sound: bool = True,
              tags: Mapping[str, str] | None = None) -> Path:
    """A recording of a colour that turns from blue to red half way, and of silence."""
    options = {"movflags": "use_metadata_tags"} if path.suffix in (".mov", ".mp4", ".m4a") else {}
    with av.open(str(path), "w", options=options) as container:
        container.metadata.update(tags or {})
        if video:
            film = container.add_stream("mjpeg" if path.suffix == ".avi" else "mpeg4", rate=10)
            film.width, film.height, film.pix_fmt = 64, 48, "yuvj420p" if path.suffix == ".avi" else "yuv420p"
        if sound:
            tone = container.add_stream({".wav": "pcm_s16le", ".flac": "flac", ".mp3": "libmp3lame", ".ogg": "libopus"}
                                        .get(path.suffix, "aac"), rate=48_000)
            tone.layout = "mono"
        if video:
            for number in range(round(seconds * 10)):
                colour = (0, 0, 255) if number < seconds * 5 else (255, 0, 0)
                container.mux(film.encode(av.VideoFrame.from_image(Image.new("RGB", (64, 48), colour))))
            container.mux(film.encode(None))
        if sound:
            _silence(container, tone, seconds)
    return path


def _silence(container: Any, tone: Any, seconds: float) -> None:
    planar = tone.codec_context.format.name
    for start in range(0, round(seconds * 48_000), 960):
        samples = np.zeros((1, 960), dtype=np.int16)
        frame = av.AudioFrame.from_ndarray(samples, format="s16", layout="mono")
        frame.sample_rate, frame.pts = 48_000, start
        for converted in av.AudioResampler(format=planar, layout="mono", rate=48_000).resample(frame):
            converted.pts = start
            container.mux(tone.encode(converted))
    container.mux(tone.encode(None))
