//! Sizes are recognised side by side, each on a thread of its own: one does not need another.

use super::readings::View;
use super::{Recognised, pieces_in};
use std::thread::{Builder, ScopedJoinHandle};

/// The pieces of each view, in their order.
pub(super) fn pieces_in_each(views: &[View<'_>], join_mm: f64) -> Vec<Recognised> {
    if let [view] = views {
        return vec![pieces_in(view, join_mm)];
    }
    std::thread::scope(|scope| {
        let begin = |view| {
            let thread = Builder::new();
            (view, thread.spawn_scoped(scope, move || pieces_in(view, join_mm)).ok())
        };
        let begun: Vec<_> = views.iter().map(begin).collect();
        let end = |(view, thread): (&View<'_>, Option<ScopedJoinHandle<'_, Recognised>>)| match thread {
            // Nothing there panics; if it did, it would be told as it is without threads.
            Some(thread) => thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)),
            // The system has no thread to spare.
            None => pieces_in(view, join_mm),
        };
        begun.into_iter().map(end).collect()
    })
}
