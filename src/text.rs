//! What was read and where in it: files, spans and the values that carry them.
