"""The bag (BagIt, RFC 8493): the payload and its SHA-512 manifests, put in place in one step when it is whole."""
from __future__ import annotations

import hashlib
import logging
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from witnessmark.errors import WitnessmarkError

DECLARATION, INFO = "bagit.txt", "bag-info.txt"
MANIFEST, TAG_MANIFEST = "manifest-sha512.txt", "tagmanifest-sha512.txt"
AGENT = "witnessmark"
ALGORITHM = "sha512"


def library() -> Any:
    """The bagit library, silent. Raises WitnessmarkError where it is missing."""
    try:
        import bagit
    except ImportError:
        raise WitnessmarkError('the bag needs bagit: pip install "witnessmark[evidence]"') from None
    logging.getLogger("bagit").setLevel(logging.CRITICAL + 1)
    return bagit


def make(out: Path, fill: Callable[[Path], dict[str, Any]], info: Callable[[dict[str, Any]], dict[str, str]],
         ) -> dict[str, Any]:
    """Make a bag at `out`, whose payload `fill` writes into the folder that it is given; what that returns is returned.

    Raises WitnessmarkError where `out` is taken. What was half made is removed again.
    """
    bagit = library()
    out = out.expanduser().absolute()
    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise WitnessmarkError(f"{out} is there already: give a new place for the bag, or move the old one away")
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        place = Path(tempfile.mkdtemp(prefix=f".{out.name}-", dir=out.parent))
    except OSError as error:
        raise WitnessmarkError(f"{out} cannot be written ({error.strerror}): give another place") from None
    try:
        about = fill(place)
        bagit.make_bag(str(place), bag_info={"Bag-Software-Agent": AGENT, **info(about)}, checksums=[ALGORITHM])
        _finish(place)
        bagit.Bag(str(place)).validate()
        place.chmod(0o755)
        if out.exists():
            out.rmdir()
        place.rename(out)
    except OSError as error:
        raise WitnessmarkError(f"the bag cannot be written ({error.strerror}: {error.filename or out}): free some "
                               "space or give another place") from None
    finally:
        shutil.rmtree(place, ignore_errors=True)
    return about


def _finish(place: Path) -> None:
    """What the library leaves open: it declares the draft of 2010 (0.97), and lists tag files in the order of the
    folder, which is chance, with one space, which `sha512sum -c` does not read."""
    (place / DECLARATION).write_bytes(b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
    (place / TAG_MANIFEST).write_bytes(tag_manifest(place))


def tag_manifest(place: Path) -> bytes:
    """The tag manifest as this program writes it: one line a tag file, in order of name."""
    names = sorted(entry.name for entry in os.scandir(place) if entry.is_file() and entry.name != TAG_MANIFEST)
    return manifest((name, place / name) for name in names)


def manifest(files: Iterable[tuple[str, Path]]) -> bytes:
    """Lines of hash, two spaces, name."""
    return b"".join(f"{sha512_of(path)}  {name}\n".encode() for name, path in files)


def sha512_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, ALGORITHM).hexdigest()
