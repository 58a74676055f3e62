//! Looks whether the design's file or its measured sheet changes under an editor.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher};

use crate::keeper::{Job, Jobs};
use crate::measured;

/// An editor writes in several steps: they are looked at together once it has been quiet for so long.
const QUIET: Duration = Duration::from_millis(40);

/// Watches the folder of a design until what comes back is dropped. The folder, because editors put a new file in the old
/// one's place; events of other files, the record among them, are passed over.
///
/// # Errors
/// If the folder can't be watched, in words.
pub fn watch(design: &Path, jobs: Jobs) -> Result<RecommendedWatcher, String> {
    let folder = match design.parent() {
        Some(p) if p != Path::new("") => p.to_owned(),
        _ => PathBuf::from("."),
    };
    let cannot = |e: notify::Error| format!("error: can't watch {}: {e}", folder.display());
    let sheet = measured::sheet_of(design);
    let names = [design, &sheet].map(|p| p.file_name().map(ToOwned::to_owned));
    let (seen, waiting) = channel::<()>();
    let mut watcher = notify::recommended_watcher(move |event: notify::Result<notify::Event>| {
        let Ok(event) = event else { return };
        let ours = event.paths.iter().any(|p| names.iter().any(|n| p.file_name() == n.as_deref()));
        if ours && !matches!(event.kind, EventKind::Access(_)) {
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
