"""The fault chart: the policy a few acts deep, as text and as a page."""
