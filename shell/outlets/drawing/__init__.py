"""Drawings of the circuit and of a fault's evidence, as text and as SVG; data in, string out."""
