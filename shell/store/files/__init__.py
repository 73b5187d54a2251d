"""The store as a file: where it is, its locks, and how it is recovered."""
