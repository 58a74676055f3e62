//! Running other programs, and saying so.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// Says what comes next.
pub fn say(what: &str) {
    println!("\n── {what}");
}

/// Runs a command in the root, with its output shown; an error says which one failed.
pub fn run(what: &str, program: &str, args: &[&str]) -> Result<(), String> {
    say(what);
    println!("   {program} {}", args.join(" "));
    let start = Instant::now();
    let status = Command::new(program)
        .args(args)
        .current_dir(root())
        .status()
        .map_err(|e| format!("can't start {program}: {e}"))?;
    println!("   {:.0} s", start.elapsed().as_secs_f64());
    if status.success() { Ok(()) } else { Err(format!("{what}: {program} ended with {status}")) }
}

/// Runs commands, as many at a time as there are processors; each one's output is shown when it ends. All run, whatever fails;
/// the error names those that did.
pub fn run_side_by_side(program: &str, steps: &[(&str, &str)]) -> Result<(), String> {
    let next = AtomicUsize::new(0);
    let failed = Mutex::new(Vec::new());
    let work = || {
        while let Some(&(what, arg)) = steps.get(next.fetch_add(1, Ordering::Relaxed)) {
            let start = Instant::now();
            // One thread each: a library that takes all processors for itself would be in the other's way.
            let output = Command::new(program)
                .arg(arg)
                .current_dir(root())
                .envs([("OMP_NUM_THREADS", "1"), ("OPENBLAS_NUM_THREADS", "1")])
                .stdin(Stdio::null())
                .output();
            // Poisoned by a panic elsewhere at worst: the list itself is sound.
            let mut failed = failed.lock().unwrap_or_else(PoisonError::into_inner);
            println!("\n── {what}\n   {program} {arg}");
            match output {
                Ok(output) => {
                    print!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
                    println!("   {:.0} s", start.elapsed().as_secs_f64());
                    if !output.status.success() {
                        failed.push(format!("{what}: {program} {arg} ended with {}", output.status));
                    }
                }
                Err(e) => failed.push(format!("{what}: can't start {program}: {e}")),
            }
        }
    };
    std::thread::scope(|s| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            s.spawn(work);
        }
    });
    let failed = failed.into_inner().unwrap_or_else(PoisonError::into_inner);
    if failed.is_empty() { Ok(()) } else { Err(failed.join("\n       ")) }
}

/// Runs cargo, the one that runs this.
pub fn cargo(what: &str, args: &[&str]) -> Result<(), String> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    run(what, &cargo, args)
}
