"""Words that can be typed at any prompt, one module each; the table is in `table`."""
