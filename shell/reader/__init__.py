"""One reader for what people type and send: text in, proposals out; no screen in it."""
