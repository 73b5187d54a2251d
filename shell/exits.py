"""Exit codes, the same for every command; documented in README.md."""

from typing import Final

EXIT_FINE: Final = 0
EXIT_STUCK: Final = 1  # nothing listed explains the readings, or a stop; or a check or test found something
EXIT_REFUSED: Final = 2  # the command line, a file or a reading cannot be used
EXIT_KNOWLEDGE: Final = 3  # the knowledge base cannot be used
