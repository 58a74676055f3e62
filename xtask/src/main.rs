//! The project's chores, as commands: `cargo xtask demo`, `cargo xtask test`.

mod compare;
mod demo;
mod licences;
mod page;
mod python;
mod step;
mod test;

use std::process::ExitCode;

const HELP: &str = "\
cargo xtask demo       build the program and write the packet of the demo design to out/gorse
cargo xtask test       install what the tests need, and run all tests and checks
cargo xtask compare    time the answers, and some against other programs in the same run
cargo xtask licences   check the licences of all dependencies
";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let result = match args.first().map(String::as_str) {
        Some("demo") => demo::run(),
        Some("test") => test::run(),
        Some("compare") => compare::run(),
        Some("licences") => licences::run(),
        _ => {
            print!("{HELP}");
            return if args.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(2) };
        }
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("\nxtask: {e}");
            ExitCode::FAILURE
        }
    }
}
