//! Arguments to a face, its result to an exit status.

use std::process::ExitCode;

fn main() -> ExitCode {
    meniscus::face::cli::main()
}
