//! Pictures into files: JPEG for derivatives, a tiny PNG in a data: URI for placeholders.

mod jpeg;

mod placeholder;

pub(super) use jpeg::JpegEncoder;
pub(super) use placeholder::placeholder;
