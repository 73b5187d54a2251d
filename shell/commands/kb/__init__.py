"""The commands under ``crankpath kb``, one module each."""
