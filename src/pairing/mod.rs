//! What would go into an open slot, and what could be made of the free parts.
