//! Arguments, and one file a command.
