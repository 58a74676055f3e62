//! How far a long answer is, and whether it is still wanted.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// Follows loads that are pushed past yielding: tells how far they are, and ends them when they are not wanted any more.
///
/// An answer that was ended on the way holds what had been found by then and is not to be shown.
#[derive(Clone, Copy)]
pub struct Watch<'a> {
    /// Is told the part that is done, 0 to 1; it never falls. Called from several threads.
    pub told: &'a (dyn Fn(f64) + Sync),
    /// Set by whoever does not want the answer any more.
    pub stop: &'a AtomicBool,
}

impl Watch<'_> {
    /// Whether the answer is not wanted any more.
    pub fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }
}

/// A push in a million steps: fine enough for any bar on a screen.
const WHOLE: f64 = 1e6;

/// The work of several pushes, some side by side, as one part done.
pub(crate) struct Progress<'a> {
    watch: Watch<'a>,
    pushes: f64,
    done: AtomicU64,
}

impl<'a> Progress<'a> {
    /// For so many pushes.
    pub fn new(watch: Watch<'a>, pushes: usize) -> Progress<'a> {
        Progress { watch, pushes: pushes.max(1) as f64, done: AtomicU64::new(0) }
    }

    /// See [`Watch::stopped`].
    pub fn stopped(&self) -> bool {
        self.watch.stopped()
    }

    /// Begins one push.
    pub fn push(&self) -> Push<'_> {
        Push { all: self, part: 0 }
    }

    fn add(&self, more: u64) {
        let done = self.done.fetch_add(more, Ordering::Relaxed) + more;
        (self.watch.told)((done as f64 / WHOLE / self.pushes).min(1.0));
    }
}

/// One push. What it has not told when it is dropped counts as done: a push may end before the way it was asked for.
pub(crate) struct Push<'a> {
    all: &'a Progress<'a>,
    part: u64,
}

impl Push<'_> {
    /// It is this far, 0 to 1; less than before changes nothing.
    pub fn at(&mut self, part: f64) {
        let now = (part.clamp(0.0, 1.0) * WHOLE) as u64;
        if now > self.part {
            self.all.add(now - self.part);
            self.part = now;
        }
    }

    /// See [`Watch::stopped`].
    pub fn stopped(&self) -> bool {
        self.all.stopped()
    }
}

impl Drop for Push<'_> {
    fn drop(&mut self) {
        self.at(1.0);
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use super::*;

    #[test]
    fn parts_add_up_and_never_fall() {
        let (told, stop) = (Mutex::new(Vec::new()), AtomicBool::new(false));
        let tell = |p: f64| told.lock().unwrap().push(p);
        let all = Progress::new(Watch { told: &tell, stop: &stop }, 2);
        let mut first = all.push();
        first.at(0.5);
        first.at(0.25);
        {
            let mut second = all.push();
            second.at(0.2);
        }
        first.at(f64::NAN);
        drop(first);
        let told = told.into_inner().unwrap();
        assert!(told.windows(2).all(|w| w[0] <= w[1]), "{told:?}");
        assert_eq!(told, [0.25, 0.35, 0.75, 1.0]);
    }
}
