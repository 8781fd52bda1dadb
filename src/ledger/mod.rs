//! Where every part has been and what was done to it, replayed from the entries by date.
