"""Session commands about readings and repairs."""
