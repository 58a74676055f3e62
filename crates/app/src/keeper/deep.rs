//! What takes long: all of strength after a change, tumbles, loads pushed past yielding.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use review::Review;
use review::over::{self, Tumbled};
use strength::{Depth, Watch};

use super::pools::aside;
use super::{Job, Keeper, text};
use crate::wire::{Run, Told};

/// What long runs have found of the state shown.
#[derive(Clone, Debug, Default)]
pub struct Found {
    tumbled: Option<Tumbled>,
    strength: Option<Box<strength::Answer>>,
}

impl Found {
    /// Puts it into a review of the same state.
    pub fn put(&self, r: &mut Review) {
        if let Some(t) = &self.tumbled {
            r.over.tumbled = Some(t.clone());
        }
        if let Some(s) = &self.strength {
            r.strength = (**s).clone();
        }
    }
}

/// A change that follows within this time makes a deep review idle.
const REST: Duration = Duration::from_millis(250);

impl Keeper {
    /// Works all of strength out beside, and pieces and steel as for the packet, if nothing changes for a moment.
    pub(super) fn deepen(&self) {
        let turn = self.turn.fetch_add(1, Ordering::SeqCst) + 1;
        let (now, jobs, path, doc, state) =
            (self.turn.clone(), self.jobs.clone(), self.path.clone(), self.doc.clone(), self.state);
        let made = self.made.clone();
        std::thread::spawn(move || {
            std::thread::sleep(REST);
            if now.load(Ordering::SeqCst) == turn
                && let Ok(r) = aside(|| text::review(&path, &doc, &made, Depth::Full))
            {
                let _ = jobs.send(Job::Deep(turn, state, Box::new(r)));
            }
        });
    }

    /// Starts a long run, unless it runs.
    pub(super) fn start(&mut self, run: Run) {
        if self.runs.contains_key(&run) {
            return;
        }
        let stop = Arc::new(AtomicBool::new(false));
        self.runs.insert(run, stop.clone());
        let (jobs, review, state) = (Mutex::new(self.jobs.clone()), self.review.clone(), self.state);
        self.tell(&Told::Running { run, part: 0.0 });
        std::thread::spawn(move || {
            let found = match run {
                Run::Tumbles => aside(|| tumbles(&review, &jobs, &stop)),
                Run::Collapse => Ok(aside(|| collapse(&review, &jobs, &stop))),
            };
            let found = if stop.load(Ordering::Relaxed) { Err("stopped".to_owned()) } else { found };
            if let Ok(jobs) = jobs.lock() {
                let _ = jobs.send(Job::Ran(run, state, found.map(Box::new)));
            }
        });
    }

    /// Takes in what a long run has found.
    pub(super) fn ran(&mut self, run: Run, state: i64, result: Result<Box<Found>, String>) {
        self.runs.remove(&run);
        let why = match result {
            Ok(_) if state != self.state => Some("the design has changed since".to_owned()),
            Ok(found) => {
                self.found.tumbled = found.tumbled.or(self.found.tumbled.take());
                self.found.strength = found.strength.or(self.found.strength.take());
                let mut r = (*self.review).clone();
                self.found.put(&mut r);
                self.review = Arc::new(r);
                self.show();
                None
            }
            Err(why) => Some(why),
        };
        self.tell(&Told::Ended { run, why });
    }
}

/// Parts of a run that are told.
const TOLD: u32 = 100;

/// Tells how far a run is, 0 to 1, each of the parts once.
fn teller(run: Run, jobs: &Mutex<super::Jobs>) -> impl Fn(f64) + Sync {
    let last = AtomicU32::new(0);
    move |done: f64| {
        let part = (done * f64::from(TOLD)) as u32;
        if last.fetch_max(part, Ordering::Relaxed) < part
            && let Ok(jobs) = jobs.lock()
        {
            let _ = jobs.send(Job::Running(run, f64::from(part) / f64::from(TOLD)));
        }
    }
}

fn collapse(r: &Review, jobs: &Mutex<super::Jobs>, stop: &AtomicBool) -> Found {
    let watch = Watch { told: &teller(Run::Collapse, jobs), stop };
    let answer = review::strength_watched(&r.shape, Depth::Collapse, watch);
    Found { strength: Some(Box::new(answer)), ..Found::default() }
}

fn tumbles(r: &Review, jobs: &Mutex<super::Jobs>, stop: &AtomicBool) -> Result<Found, String> {
    let runs = r.shape.design.rollover.tumbles;
    let tell = teller(Run::Tumbles, jobs);
    let told = |done: u32| tell(f64::from(done) / f64::from(runs.max(1)));
    let tumbled = over::tumble_it(r, runs, &told, stop).map_err(|e| e.to_string())?;
    Ok(Found { tumbled: Some(tumbled), ..Found::default() })
}
