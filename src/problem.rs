//! What is wrong with a journal, told with its place; nothing here prints.
