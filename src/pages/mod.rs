//! What templates may see, and the pages made of it; no disk is touched here.
