"""Everything that can go wrong, one class per thing a caller does differently.

Every message is a sentence that a technician or a mechanic can act on.
"""

from __future__ import annotations


class CrankpathError(Exception):
    """Root of all errors this package raises on purpose."""


class KnowledgeError(CrankpathError):
    """The knowledge base cannot be used; the message lists every slip found, one a line."""


class CaseError(CrankpathError):
    """A case was asked for something it cannot do."""


class UnknownName(CaseError):
    """An id that the knowledge base does not have; the message offers near spellings."""


class EquipmentError(CaseError):
    """A machine fact has a value the knowledge base does not allow."""


class ReadingError(CaseError):
    """A reading cannot be understood; nothing was recorded."""


class DoubtfulReading(ReadingError):
    """A reading is understood but not believable; it must be asked again, not taken.

    Attributes:
        suggestion: the text that was probably meant ("310 mV"), or None.
    """

    def __init__(self, message: str, suggestion: str | None = None) -> None:
        super().__init__(message)
        self.suggestion = suggestion


class RecordingError(CaseError):
    """A recording cannot be read, or its columns are not told; nothing was recorded."""
