//! Findings and problems for a terminal, for programs and for editors.
