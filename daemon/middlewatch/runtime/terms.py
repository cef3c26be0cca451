"""The trade's words, explained to the newcomer where each first stands."""

import re
from dataclasses import replace

from middlewatch.runtime.narration import Note

_MEANINGS = {
    "DR": "dead reckoning: by heading and log alone, from its last origin",
    "EP": "estimated position: the DR with leeway and stream, as far as the skipper has given them",
    "R Fix": "running fix: an earlier line of position carried along the boat's run to a later one",
    "GP@bow": "talker GP on the input named bow",
    "ordinary": "exceeded once in a hundred when all is well",
    "residual": "the bearing taken less the one expected",
    "1 sigma": "two errors in three are smaller",
}


class Terms:
    """Explains each word once, in brackets behind it."""

    def __init__(self) -> None:
        self._unsaid = dict(_MEANINGS)

    def explained(self, note: Note) -> Note:
        """Return a note with the words explained that stand in it for the first time."""
        if not self._unsaid:
            return note
        return replace(note, sentences=tuple(self._sentence(each) for each in note.sentences))

    def _sentence(self, sentence: str) -> str:
        for word in list(self._unsaid):
            found = re.search(rf"\b{re.escape(word)}\b", sentence)
            if found:
                meaning = self._unsaid.pop(word)
                sentence = f"{sentence[: found.end()]} [{meaning}]{sentence[found.end() :]}"
        return sentence
