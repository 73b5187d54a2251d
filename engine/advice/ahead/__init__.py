"""The policy followed ahead: how much reading is left, and the chart of what comes next."""
