//! Pixels between decoding and encoding: resized, brought into sRGB, turned upright.

pub(crate) mod plane;

pub(crate) mod image;

pub(crate) mod resize;

pub(crate) mod colour_conversion;

pub(crate) mod upright;
