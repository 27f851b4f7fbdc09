"""Typed notes become cues without their marks."""
from pathlib import Path

import pytest

from witnessmark.errors import UnreadableFile
from witnessmark.speech import notes


def lines(tmp_path: Path, text: str) -> list[str]:
    file = tmp_path / "note.md"
    file.write_text(text, encoding="utf-8")
    return [cue.text for cue in notes.read(file).cues]


def test_marks_of_markdown_are_stripped(tmp_path: Path) -> None:
    text = ("---\ntags: wing\n---\n# Sunday\n\n* **Deburred** the _aft_ spar web\n- [x] Clecoed `rib 4`\n"
            "2. Two hours\n\n> see [the sketch](sketch.png)\n***\n")
    assert lines(tmp_path, text) == ["Sunday", "Deburred the aft spar web", "Clecoed rib 4", "Two hours",
                                     "see the sketch"]


def test_an_unticked_box_stays_something_to_do(tmp_path: Path) -> None:
    assert lines(tmp_path, "- [x] Ribs dimpled\n- [ ] Spar primed\n") == ["Ribs dimpled", "To do: Spar primed"]


def test_a_wrapped_sentence_is_one_cue_and_short_lines_are_their_own(tmp_path: Path) -> None:
    text = ("Spent the whole of the afternoon fitting the upper skin to the\nrear spar with the strap duplicator.\n"
            "Hours: 4\nPaid 12.50 for blades\n")
    assert lines(tmp_path, text) == [
        "Spent the whole of the afternoon fitting the upper skin to the rear spar with the strap duplicator.",
        "Hours: 4", "Paid 12.50 for blades"]


def test_figures_and_designations_are_not_taken_for_marks(tmp_path: Path) -> None:
    text = "AN470AD4-5 * 40 pcs\n3.5 hours\n0.025_in skin, 6_32 screws\n"
    assert lines(tmp_path, text) == text.splitlines()


def test_a_long_paragraph_is_cut_into_sentences(tmp_path: Path) -> None:
    sentence = "Squeezed the rivets along the top flange of the left spar today and checked each with the gauge."
    assert lines(tmp_path, " ".join([sentence] * 4)) == [sentence] * 4


def test_an_empty_note_is_said(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match=r"^note\.md [^\n]*\.$"):
        lines(tmp_path, "\n\n---\n")
