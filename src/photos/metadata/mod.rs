//! What is read from a photo's metadata: which way is up, and when it was taken. Nothing else is.

mod exif;

mod orientation;

mod xmp;

pub(crate) use exif::Exif;
pub(crate) use orientation::Orientation;
pub(crate) use xmp::orientation as xmp_orientation;
