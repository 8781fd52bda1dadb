//! Endshake: a build journal for one-off wristwatches.
