//! Threads for work beside the keeper's, so that what follows a pointer does not wait behind it.

use std::sync::OnceLock;

use rayon::ThreadPool;

type Pool = OnceLock<Option<ThreadPool>>;

fn within<T: Send>(pool: &'static Pool, threads: usize, f: impl FnOnce() -> T + Send) -> T {
    let pool = pool.get_or_init(|| rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok());
    match pool {
        Some(pool) => pool.install(f),
        None => f(),
    }
}

/// What may take minutes: on one thread fewer than the machine has.
pub fn aside<T: Send>(f: impl FnOnce() -> T + Send) -> T {
    static POOL: Pool = OnceLock::new();
    within(&POOL, std::thread::available_parallelism().map_or(1, |n| n.get() - 1).max(1), f)
}

/// What takes a moment, and must not wait for what takes long: on a thread of its own.
pub fn brief<T: Send>(f: impl FnOnce() -> T + Send) -> T {
    static POOL: Pool = OnceLock::new();
    within(&POOL, 1, f)
}
