"""The physics: circuit computations, and machines solved node by node to practise and test on.

Nothing here knows a rule of the knowledge base: what a machine does and reads follows from
its circuit, so that rules can be held against it.
"""
