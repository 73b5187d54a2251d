"""The sheet of a case, as a page, text or JSON."""
