"""Subtitle files as cameras, editors and video sites write them."""
from pathlib import Path

import pytest

from witnessmark.errors import UnreadableFile
from witnessmark.model import Cue, Transcript
from witnessmark.speech import subtitles


def cues(tmp_path: Path, content: str | bytes, name: str = "talk.vtt") -> list[tuple[float, float, str]]:
    file = tmp_path / name
    file.write_bytes(content.encode() if isinstance(content, str) else content)
    return [(cue.start, cue.end, cue.text) for cue in subtitles.read(file).cues]


def test_webvtt_as_the_standard_shows_it(tmp_path: Path) -> None:
    # W3C WebVTT, 1.2-1.3: header text, NOTE and STYLE blocks, identifiers, cue settings, voice and class tags
    text = ("WEBVTT - Saturday in the shop\n\nNOTE not a cue\nstill none\n\nSTYLE\n::cue { color: red }\n\n"
            "intro\n00:11.000 --> 00:13.000 align:start position:10%\n<v Esme>The <c.loud>left</c> rib &amp; spar\n\n"
            "01:00:00.500 --> 01:00:04.000\ntwo lines\nof one <00:00:02.000><b>cue</b>\n")
    assert cues(tmp_path, text) == [(11.0, 13.0, "The left rib & spar"), (3600.5, 3604.0, "two lines of one cue")]


def test_subrip_with_comma_tags_and_windows_line_ends(tmp_path: Path) -> None:
    text = ("\ufeff1\r\n00:00:01,000 --> 00:00:02,500\r\n<i>Deburred</i> {\\an8}the holes\r\n\r\n"
            "2\r\n00:00:03,000 --> 00:00:04,000  X1:40 X2:600\r\n42 of them\r\n")
    assert cues(tmp_path, text, "talk.srt") == [(1.0, 2.5, "Deburred the holes"), (3.0, 4.0, "42 of them")]


@pytest.mark.parametrize("text", [
    "1\n00:00:05,000 --> 00:00:06,000\nthe second\n2\n00:00:01,000 --> 00:00:07,000\nthe first\n",
    "00:00:05.000 --> 00:00:06.000\nthe second\n\n\n\n0:0:1.0 --> 00:07.000\nthe first",
    "WEBVTT\n00:05.000 --> 00:06.000\nthe second\n00:01.000 --> 00:07.000\n\nthe first\n",
])
def test_missing_blank_lines_overlap_and_wrong_order(tmp_path: Path, text: str) -> None:
    assert cues(tmp_path, text) == [(1.0, 7.0, "the first"), (5.0, 6.0, "the second")]


@pytest.mark.parametrize(("encoding", "start"), [("utf-16", b""), ("utf-8", b"\xef\xbb\xbf"), ("cp1252", b"")])
def test_encodings(tmp_path: Path, encoding: str, start: bytes) -> None:
    text = "WEBVTT\n\n00:01.000 --> 00:02.000\nthe façade’s 3° twist\n"
    assert cues(tmp_path, start + text.encode(encoding)) == [(1.0, 2.0, "the façade’s 3° twist")]


def test_a_number_that_is_said_is_kept(tmp_path: Path) -> None:
    text = "1\n00:00:01,000 --> 00:00:02,000\nhow many?\n40\n\n2\n00:00:03,000 --> 00:00:04,000\nright\n"
    assert cues(tmp_path, text) == [(1.0, 2.0, "how many? 40"), (3.0, 4.0, "right")]


def test_rolling_captions_are_not_said_twice(tmp_path: Path) -> None:
    text = ("WEBVTT\n\n00:01.000 --> 00:03.000\nso I took the wing\n\n"
            "00:03.000 --> 00:05.000\nso I took the wing\noff its cradle today\n\n"
            "00:05.000 --> 00:05.010\noff its cradle today\n")
    assert " ".join(cue[2] for cue in cues(tmp_path, text)).count("so I took the wing") == 1


@pytest.mark.parametrize("content", [b"", b"WEBVTT\n", b"just words", b"\x00\x01\x02"])
def test_no_cues_is_said_in_one_sentence(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "talk.vtt"
    file.write_bytes(content)
    with pytest.raises(UnreadableFile, match=r"^talk\.vtt [^\n]*\.$"):
        subtitles.read(file)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    said = Transcript((Cue(0.0, 1.25, "a < b & c --> d"), Cue(3599.9, 3661.001, "the end")), "base")
    subtitles.write_vtt(said, tmp_path / "out.vtt")
    text = (tmp_path / "out.vtt").read_text()
    assert text.startswith("WEBVTT\n\n00:00:00.000 --> 00:00:01.250\n")
    assert "-->" not in text.split("\n")[3]  # W3C WebVTT, 3.1: cue text must not hold the arrow
    back = subtitles.read(tmp_path / "out.vtt")
    assert back.cues[1] == said.cues[1]
    assert back.cues[0].text == "a < b & c --> d"
