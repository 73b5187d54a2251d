"""A case: its entries, its file, and the library's face."""
