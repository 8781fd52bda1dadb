//! Drawings to scale as SVG, made from the same numbers as the checks.
