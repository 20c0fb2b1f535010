//! Who is let in: a code that works once, a token after that, and a limit on how often anybody may ask.

use super::RemoteError;
use std::time::Instant;

/// Letters of a code: none that is taken for another.
const LETTERS: &[u8; 32] = b"ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
/// Length of the code: 60 bits.
const CODE_LETTERS: usize = 12;
/// Length of a token: 160 bits.
const TOKEN_LETTERS: usize = 32;
/// Wrong codes after which nobody is let in any more.
const WRONG_MOST: u32 = 10;
/// Requests that may come at once.
const BURST: f64 = 40.0;
/// Requests a second that may come for long: a held arrow key sends some ten.
const PER_SECOND: f64 = 20.0;

/// The keeper of the door.
pub(super) struct Gate {
    /// The code; gone once it was used.
    code: Option<String>,
    token: Option<String>,
    wrong: u32,
    room: f64,
    asked_at: Instant,
}

impl Gate {
    /// A door with a fresh code.
    pub(super) fn new() -> Result<Self, RemoteError> {
        let code = Some(letters(CODE_LETTERS)?);
        Ok(Self { code, token: None, wrong: 0, room: BURST, asked_at: Instant::now() })
    }

    /// The code, until it was used.
    pub(super) fn code(&self) -> Option<&str> {
        self.code.as_deref()
    }

    /// Whether too many wrong codes were tried.
    pub(super) const fn is_shut(&self) -> bool {
        self.wrong >= WRONG_MOST
    }

    /// Whether one more request may be looked at now.
    pub(super) fn has_room(&mut self, now: Instant) -> bool {
        let passed = now.saturating_duration_since(self.asked_at).as_secs_f64();
        self.asked_at = now;
        self.room = (self.room + PER_SECOND * passed).min(BURST);
        let has_room = self.room >= 1.0;
        if has_room {
            self.room -= 1.0;
        }
        has_room
    }

    /// The token of whoever brings the code; the code is spent then.
    pub(super) fn admit(&mut self, code: &str) -> Option<String> {
        if self.is_shut() || !self.code.as_deref().is_some_and(|known| is_same(known, code)) {
            self.wrong = self.wrong.saturating_add(1);
            return None;
        }
        let token = letters(TOKEN_LETTERS).ok()?;
        self.code = None;
        self.token = Some(token.clone());
        Some(token)
    }

    /// Whether a token is the one that was given out.
    pub(super) fn knows(&self, token: &str) -> bool {
        self.token.as_deref().is_some_and(|known| is_same(known, token))
    }
}

/// Letters that nobody can guess.
fn letters(count: usize) -> Result<String, RemoteError> {
    let mut bytes = vec![0_u8; count];
    getrandom::fill(&mut bytes).map_err(|error| RemoteError::Chance(error.to_string()))?;
    let letter = |byte: u8| LETTERS.get(usize::from(byte % 32)).map_or('A', |letter| char::from(*letter));
    Ok(bytes.into_iter().map(letter).collect())
}

/// Whether two texts are the same, in a time that does not tell where they differ.
fn is_same(a: &str, b: &str) -> bool {
    let differ = a.bytes().zip(b.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b));
    a.len() == b.len() && differ == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_code_lets_one_in_and_no_second() {
        let mut gate = Gate::new().unwrap();
        let code = gate.code().unwrap().to_owned();
        let token = gate.admit(&code).unwrap();
        assert!(gate.knows(&token) && !gate.knows(&code) && !gate.knows(""));
        assert_eq!((gate.admit(&code), gate.code()), (None, None));
    }

    #[test]
    fn guessing_shuts_the_door_for_good() {
        let mut gate = Gate::new().unwrap();
        let code = gate.code().unwrap().to_owned();
        assert!((0..WRONG_MOST).all(|_| gate.admit("AAAA").is_none()));
        assert!(gate.is_shut() && gate.admit(&code).is_none());
    }

    #[test]
    fn a_flood_is_held_back_and_a_held_key_is_not() {
        let mut gate = Gate::new().unwrap();
        let mut now = Instant::now();
        assert!((0..40).all(|_| gate.has_room(now)) && !gate.has_room(now));
        for _ in 0..100 {
            now += Duration::from_millis(100);
            assert!(gate.has_room(now));
        }
    }

    #[test]
    fn no_two_codes_are_alike() {
        assert_ne!(Gate::new().unwrap().code(), Gate::new().unwrap().code());
    }
}
