//! Work that may take long says how far it is and asks whether to go on.

/// What is being done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step<'a> {
    /// In words: “reading coat.svg”.
    pub what: &'a str,
    /// So many are done.
    pub done: usize,
    /// Of so many.
    pub of: usize,
}

/// Somebody who watches.
pub trait Progress {
    /// Takes note of a step. Answers whether to go on.
    fn go_on(&self, step: Step<'_>) -> bool;
}

/// Nobody watches, and nobody stops.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Progress for Unwatched {
    fn go_on(&self, _: Step<'_>) -> bool {
        true
    }
}
