"""Session commands about the case as a whole."""
