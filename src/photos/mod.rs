//! Photos into derivatives: upright, without metadata, made once and kept.
