//! What the process that reads a PDF file may take: so much memory and time, and no more.
//!
//! Two limits stand beside each other. The allocator counts what it gives and refuses the rest, on every system; a
//! refusal ends the process. Where the system keeps count of addresses as well (Linux; macOS takes the figure and
//! doesn't mind it, Windows has none), that holds for what libraries map by themselves too. Time is limited by the
//! caller's clock ([`TIME`]), and on Unix by the processor time.

use cap::Cap;
use std::alloc::System;
use std::time::Duration;

/// Counts for every process of the program; only the one that reads a PDF file has a limit.
#[global_allocator]
static ALLOCATOR: Cap<System> = Cap::new(System, usize::MAX);

/// Memory that the process may have at most, in bytes. A sheet of 200 000 curves needs a tenth.
pub(super) const MOST_MEMORY: u64 = 2 * 1024 * 1024 * 1024;

/// What a file of no size at all may have: a million lines, and the program.
const LEAST_MEMORY: u64 = 512 * 1024 * 1024;

/// What each byte of a file may add: drawings pack to a tenth, and their lines take ten times what their commands
/// do. A file that was made to do harm unpacks to a thousand times its size, and is so ended early.
const MEMORY_A_BYTE: u64 = 100;

/// Time that the reading may take.
pub(super) const TIME: Duration = Duration::from_secs(20);

/// Memory for a file of so many bytes, in bytes.
pub(super) fn memory_for(file: usize) -> u64 {
    let file = u64::try_from(file).unwrap_or(u64::MAX);
    LEAST_MEMORY.saturating_add(file.saturating_mul(MEMORY_A_BYTE)).min(MOST_MEMORY)
}

/// From here on this process ends when it takes more than so many bytes, or much longer than [`TIME`].
pub(super) fn limit_this_process(memory: u64) {
    // Where more is taken already or a limit can't be set, the caller's clock still ends the process.
    let _counted = ALLOCATOR.set_limit(usize::try_from(memory).unwrap_or(usize::MAX));
    #[cfg(unix)]
    limit_by_the_system(memory);
}

#[cfg(unix)]
fn limit_by_the_system(memory: u64) {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let limit = |most| Rlimit { current: Some(most), maximum: Some(most) };
    let _addresses = setrlimit(Resource::As, limit(memory));
    let _processor = setrlimit(Resource::Cpu, limit(TIME.as_secs() + 5));
    let _dump = setrlimit(Resource::Core, limit(0));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_allocator_gives_what_the_limit_leaves_and_refuses_the_rest() {
        const HALF: usize = 512 * 1024 * 1024;
        // Room is asked for and not written to: it costs addresses and no memory.
        let is_given = |bytes: usize| Vec::<u8>::new().try_reserve_exact(bytes).is_ok();
        assert!(is_given(3 * HALF));
        // The tests beside this one take less than a gigabyte meanwhile.
        ALLOCATOR.set_limit(ALLOCATOR.allocated() + 2 * HALF).unwrap();
        let (more, less) = (is_given(3 * HALF), is_given(HALF / 2));
        ALLOCATOR.set_limit(usize::MAX).unwrap();
        assert!(!more && less);
    }

    #[test]
    fn a_larger_file_may_take_more_up_to_the_most() {
        assert_eq!(memory_for(0), LEAST_MEMORY);
        assert_eq!(memory_for(1_000_000), LEAST_MEMORY + 100_000_000);
        assert_eq!(memory_for(usize::MAX), MOST_MEMORY);
    }
}
