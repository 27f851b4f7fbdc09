"""Photos: what each picture shows, whether its camera's clock was right, which pictures belong together, receipts.

In: captures, narrations with the acts read from them, the trade lexicon. Out: tags with their basis and confidence,
proposals for wrong clocks, groups, receipts; and small pictures to show, in the folder that the caller names.
Never: change an original, apply a clock correction, or settle a contradiction without showing it.
"""
from witnessmark.photos.showing import still, thumbnail
from witnessmark.photos.tags import tag
from witnessmark.photos.values import PhotoTag, Spoken

__all__ = ["PhotoTag", "Spoken", "still", "tag", "thumbnail"]
