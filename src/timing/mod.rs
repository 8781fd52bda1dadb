//! Readings of a timing machine into rates, spreads and criteria.
