//! Damaged files harm nobody: each is read, or refused in a sentence, within the time that a reading has.

use super::{file, options};
use chalkbeam::import::pdf::PdfError;
use chalkbeam::import::{self, ImportError};
use std::time::{Duration, Instant};

/// Numbers that look random and are always the same (xorshift, Marsaglia 2003).
struct Dice(u64);

impl Dice {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(most).unwrap()).unwrap()
    }
}

fn damaged(whole: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = whole.to_vec();
    for _ in 0..=dice.below(6) {
        let at = dice.below(bytes.len());
        match dice.below(5) {
            0 => bytes[at] = u8::try_from(dice.below(256)).unwrap(),
            1 => bytes[at] ^= 1 << dice.below(8),
            2 => bytes.truncate(at.max(64)),
            3 => {
                let (from, length) = (dice.below(bytes.len()), dice.below(200));
                let copied: Vec<u8> = bytes[from..].iter().copied().take(length).collect();
                bytes.splice(at..at, copied);
            }
            _ => {
                let until = (at + dice.below(60)).min(bytes.len());
                bytes.drain(at..until);
            }
        }
        if bytes.len() < 80 {
            break;
        }
    }
    bytes
}

#[test]
fn three_hundred_damaged_files_are_read_or_refused() {
    let mut dice = Dice(0x00c0_ffee_1234_5678);
    let mut slowest = Duration::ZERO;
    let (mut read, mut refused) = (0, 0);
    for name in ["coat-layers.pdf", "kinds.pdf", "tiles-form-a4.pdf"] {
        let whole = file(name);
        for number in 0..100 {
            let begun = Instant::now();
            let mutant = damaged(&whole, &mut dice);
            match import::read(&mutant, &options()) {
                Ok(_) => read += 1,
                Err(ImportError::Pdf(PdfError::Died { how, .. })) => {
                    // 101 is a panic, 11 a fault, 6 an abort.
                    panic!("mutant {number} of {name} ended the reading: {how}");
                }
                Err(error) => {
                    assert!(!error.to_string().contains('\n'), "{error}");
                    refused += 1;
                }
            }
            slowest = slowest.max(begun.elapsed());
        }
    }
    eprintln!("{read} damaged files were read, {refused} refused, the slowest in {slowest:?}");
    assert!(slowest < Duration::from_secs(25));
    assert!(read > 30 && refused > 30, "{read} and {refused}");
}
