//! The same commands for a terminal.
