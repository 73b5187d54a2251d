"""``crankpath kb list``, ``show``, ``where``: what stands in the knowledge base, and where."""
