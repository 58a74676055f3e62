//! Looks whether anything in the design's folder changes under an editor: the design, its measured sheet, the files it names.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use crate::keeper::{Job, Jobs};
use crate::made;

/// An editor writes in several steps: they are looked at together once it has been quiet for so long.
const QUIET: Duration = Duration::from_millis(40);

/// Watches the folder of a design until what comes back is dropped. The folder, because editors put a new file in the old
/// one's place; the keeper finds out whether a change concerns it. Events of the record, which it writes itself, are passed over.
///
/// # Errors
/// If the folder can't be watched, in words.
pub fn watch(design: &Path, jobs: Jobs) -> Result<RecommendedWatcher, String> {
    let folder = match design.parent() {
        Some(p) if p != Path::new("") => p.to_owned(),
        _ => PathBuf::from("."),
    };
    let cannot = |e: notify::Error| format!("error: can't watch {}: {e}", folder.display());
    let record = made::record_of(design).file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let (seen, waiting) = channel::<()>();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        let Ok(event) = event else { return };
        // The record's journal has its name with an ending.
        let of_record = |p: &PathBuf| p.file_name().is_some_and(|n| n.to_string_lossy().starts_with(&record));
        if !event.paths.iter().all(of_record) && !matches!(event.kind, EventKind::Access(_)) {
            let _ = seen.send(());
        }
    })
    .map_err(cannot)?;
    watcher.watch(&folder, RecursiveMode::NonRecursive).map_err(cannot)?;
    std::thread::spawn(move || {
        while waiting.recv().is_ok() {
            loop {
                match waiting.recv_timeout(QUIET) {
                    Ok(()) => {}
                    Err(RecvTimeoutError::Timeout) => break,
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
            if jobs.send(Job::Changed).is_err() {
                return;
            }
        }
    });
    Ok(watcher)
}
