//! The whole program behind `open`: keeper, watch and server, until it is told to end.

use std::path::Path;

use crate::keeper::{self, Job};
use crate::server::{Opening, Server};
use crate::watch;

/// Serves a design until `end` is done; `told` is called once it listens.
///
/// # Errors
/// If the design can't be read, its record not kept, or the port not had; in words.
pub fn run(
    design: &Path,
    opening: &Opening,
    told: impl FnOnce(&Server),
    end: impl Future<Output = ()> + Send + 'static,
) -> Result<(), String> {
    let (jobs, work, token) = keeper::open(design)?;
    let watcher = watch::watch(design, jobs.clone())?;
    let worker = std::thread::spawn(work);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| format!("error: can't start the server: {e}"))?;
    let result = runtime.block_on(async {
        let server = Server::listen(jobs.clone(), design.to_owned(), opening, token).await?;
        told(&server);
        server.serve(end).await
    });
    drop(watcher);
    let _ = jobs.send(Job::End);
    // The keeper ends with the change that it is writing.
    let _ = worker.join();
    runtime.shutdown_timeout(std::time::Duration::from_millis(200));
    result
}

/// Done when the person ends the program.
pub async fn interrupted() {
    // Without a signal to wait for it runs until it is killed.
    if tokio::signal::ctrl_c().await.is_err() {
        std::future::pending::<()>().await;
    }
}
