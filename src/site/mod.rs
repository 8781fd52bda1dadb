//! The site on the disk: what is ours, what changed, and writing it whole.
