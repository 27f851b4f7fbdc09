"""Whisper's decoder in two passes: greedy for all windows of a batch, a beam for those that it is unsure of.

A beam costs two to three times what greedy decoding costs and changes little where the speech is clear, so
only the windows whose words are improbable, or whose text repeats itself, are decoded again, from the same encoding
(a loop by sampling, which leaves it); the more probable of the two texts is kept. Imported only where faster-whisper is
installed.
"""
from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import ctranslate2
import numpy as np
from faster_whisper import BatchedInferencePipeline, WhisperModel
from faster_whisper.tokenizer import Tokenizer
from faster_whisper.transcribe import TranscriptionOptions, get_compression_ratio
from numpy.typing import NDArray

# Mean log probability of a window's tokens below which it is decoded again. At -0.27 half of the windows in shop noise
# were, for a sixth of the time, and of a thousand words two were heard better (tests/bench/hearing.py).
UNSURE = -0.5
CLEARLY = 0.6  # mean probability from which another language than English is believed
LOOPING = 2.4  # gzip compression ratio of a text that repeats itself, as in Whisper (Radford et al., 2022, 4.5)
BEAM = 3  # width of the second look; five, the default of Whisper, costs half as much again and heard no more terms
PATIENCE = 2.0  # hypotheses finished per beam in the second look (Kasai et al., 2022)
WARM = 0.4  # temperature at which loops are left, as in Whisper's own fallback, and the second look samples too
BEST_OF = 5  # samples of which the most probable is taken, as in Whisper's own fallback


class OtherLanguage(Exception):
    """The first windows are in another language than was assumed; `language` is its code."""

    def __init__(self, language: str) -> None:
        super().__init__(language)
        self.language = language


class TwoPass(BatchedInferencePipeline):
    """The batched pipeline with a second, wider look at what the first look left unsure.

    With `check_language` the first batch is asked for its language, from the encoding that is needed anyway; raises
    OtherLanguage where it is clearly another one.
    """

    def __init__(self, model: WhisperModel, check_language: bool = False) -> None:
        super().__init__(model)
        self.check_language = check_language and model.model.is_multilingual

    def _check(self, encoded: ctranslate2.StorageView, assumed: str) -> None:
        """Mean probability of each language over the batch; a single window in noise is often taken for Welsh."""
        self.check_language = False
        total: Counter[str] = Counter()
        for window in self.model.model.detect_language(encoded):
            for token, probability in window:
                total[token.strip("<|>")] += probability / encoded.shape[0]
        language, probability = total.most_common(1)[0]
        if language != assumed and probability > CLEARLY:
            raise OtherLanguage(language)

    def generate_segment_batched(self, features: NDArray[np.float32], tokenizer: Tokenizer,
                                 options: TranscriptionOptions) -> tuple[ctranslate2.StorageView, list[dict]]:
        """The encoding of a batch of windows and, for each, its tokens with their score and silence probability."""
        prompt = self._prompt(tokenizer, options)
        encoded = self.model.encode(features)
        if self.check_language:
            self._check(encoded, tokenizer.language_code)
        found = self._decode(encoded, prompt, replace(options, beam_size=1))
        looping = [n for n, one in enumerate(found) if self._loops(one, tokenizer)]
        unsure = [n for n, one in enumerate(found) if n not in looping and one["avg_logprob"] < UNSURE]
        for n, one in self._again(encoded, prompt, replace(options, beam_size=BEAM), unsure):
            found[n] = max(found[n], one, key=probability)
        for n, one in self._again(encoded, prompt, warm(options), looping):
            found[n] = max(found[n], one, key=probability) if self._loops(one, tokenizer) else one
        return encoded, found

    def _loops(self, found: dict, tokenizer: Tokenizer) -> bool:
        return bool(get_compression_ratio(tokenizer.decode(found["tokens"])) > LOOPING)

    def _again(self, encoded: ctranslate2.StorageView, prompt: list[int], options: TranscriptionOptions,
               numbers: list[int]) -> list[tuple[int, dict]]:
        """Some windows of the batch decoded once more, from the same encoding."""
        if not numbers:
            return []
        part = ctranslate2.StorageView.from_array(np.ascontiguousarray(np.asarray(encoded)[numbers]))
        return list(zip(numbers, self._decode(part, prompt, options), strict=True))

    def _prompt(self, tokenizer: Tokenizer, options: TranscriptionOptions) -> list[int]:
        return self.model.get_prompt(tokenizer, [], without_timestamps=options.without_timestamps,
                                     hotwords=options.hotwords)

    def _decode(self, encoded: ctranslate2.StorageView, prompt: list[int], options: TranscriptionOptions) -> list[dict]:
        results = self.model.model.generate(
            encoded, [list(prompt) for _ in range(encoded.shape[0])], beam_size=options.beam_size,
            patience=options.patience, length_penalty=options.length_penalty, max_length=self.model.max_length,
            suppress_blank=options.suppress_blank, suppress_tokens=options.suppress_tokens, return_scores=True,
            return_no_speech_prob=True, sampling_temperature=options.temperatures[0],
            sampling_topk=1 if options.temperatures[0] == 0 else 0, repetition_penalty=options.repetition_penalty,
            no_repeat_ngram_size=options.no_repeat_ngram_size,
            num_hypotheses=options.best_of if options.temperatures[0] else 1)
        return [max(_hypotheses(result, options.length_penalty), key=probability) for result in results]


def _hypotheses(result: ctranslate2.models.WhisperGenerationResult, length_penalty: float) -> Iterator[dict]:
    for tokens, score in zip(result.sequences_ids, result.scores, strict=True):
        yield {"avg_logprob": score * len(tokens) ** length_penalty / (len(tokens) + 1),
               "no_speech_prob": result.no_speech_prob, "tokens": tokens}


def probability(found: dict) -> float:
    """The mean log probability of what was decoded."""
    return float(found["avg_logprob"])


def warm(options: TranscriptionOptions) -> TranscriptionOptions:
    """The options for sampling instead of searching."""
    return replace(options, beam_size=1, temperatures=[WARM], best_of=BEST_OF)


class Wide(TwoPass):
    """A beam for sentences that are looked at a second time, and samples where the beam is unsure too."""

    def generate_segment_batched(self, features: NDArray[np.float32], tokenizer: Tokenizer,
                                 options: TranscriptionOptions) -> tuple[ctranslate2.StorageView, list[dict]]:
        encoded, prompt = self.model.encode(features), self._prompt(tokenizer, options)
        found = self._decode(encoded, prompt, replace(options, beam_size=BEAM, patience=PATIENCE))
        unsure = [n for n, one in enumerate(found) if one["avg_logprob"] < UNSURE]
        for n, one in self._again(encoded, prompt, warm(options), unsure):
            found[n] = max(found[n], one, key=probability)
        return encoded, found
