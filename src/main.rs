//! Endshake: arguments in, one command, exit status out.
fn main() {}
