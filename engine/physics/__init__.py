"""The physics: circuit computations, and machines solved node by node to practise and test on."""
