"""One machine: its equipment, its circuit as a graph, and the facts that follow."""
