//! The program: a thin shell over the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    chalkbeam::cli::run(std::env::args_os())
}
