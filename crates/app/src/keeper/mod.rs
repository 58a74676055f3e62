//! The one owner of a design's text, its record and its answers. Everything that is asked reaches it as a [`Job`], one
//! after the other; what takes long runs beside it and comes back as a job.

mod beside;
mod deep;
mod pools;
mod problems;
mod sheet;
mod shop;
mod text;

use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

use build::{Record, Taken};
use design::{Document, Edit, Problem};
use review::built::Built;
use review::{Made, Review};
use strength::Depth;
use tokio::sync::{mpsc, oneshot, watch};

use crate::files;
use crate::made;
use crate::view::{self, Mesh, Standing};
use crate::wire::{Ask, ProblemText, Run, Saved, SheetHead, ShopAsk, ShopNews, Told, View};

/// A view with the numbers of its bodies.
#[derive(Debug)]
pub struct Shown {
    /// The view.
    pub view: View,
    /// Its bodies, in the order of its heads.
    pub bodies: Arc<Vec<Mesh>>,
}

/// A page that looks on.
#[derive(Debug)]
pub struct Client {
    /// The latest view: older ones need not reach it.
    pub views: watch::Sender<Option<Arc<Shown>>>,
    /// Everything else, all of it.
    pub news: mpsc::UnboundedSender<Told>,
}

/// A state of the history in a line.
#[derive(Clone, Debug, serde::Serialize)]
pub struct HistoryRow {
    /// Its number.
    pub state: i64,
    /// When, ms since 1970.
    pub at: i64,
    /// Who.
    pub who: String,
    /// What was done.
    pub what: String,
    /// Whether it is shown now.
    pub current: bool,
}

/// What the keeper shows at a moment.
#[derive(Clone, Debug)]
pub struct Looked {
    /// The review.
    pub review: Arc<Review>,
    /// The text that it is of.
    pub text: String,
    /// The measured sheet.
    pub sheet: SheetHead,
    /// Who took its readings, and when.
    pub taken: BTreeMap<Taken, (String, i64)>,
}

/// What the keeper is asked to do.
#[derive(Debug)]
pub enum Job {
    /// A page comes.
    Join(u64, Client),
    /// A page goes.
    Leave(u64),
    /// A page asks.
    Ask(u64, Ask),
    /// The design's folder has changed.
    Changed,
    /// All of strength has been worked out for a state, and its pieces and steel as for the packet; for a turn.
    Deep(u64, i64, Box<Review>),
    /// A long run has ended.
    Ran(Run, i64, Result<Box<deep::Found>, String>),
    /// How far a long run is.
    Running(Run, f64),
    /// A phone sends what was done.
    Shop(ShopAsk, oneshot::Sender<Result<ShopNews, String>>),
    /// What was done after a number.
    Since(i64, oneshot::Sender<Result<ShopNews, String>>),
    /// The history before a state.
    History(Option<i64>, oneshot::Sender<Result<Vec<HistoryRow>, String>>),
    /// The frame as built has been worked out, for a turn.
    Laid(u64, Result<Box<Built>, Vec<Problem>>),
    /// What stands.
    Look(oneshot::Sender<Looked>),
    /// No more.
    End,
}

/// What sends jobs.
pub type Jobs = Sender<Job>;

/// How many states of the history are told at once.
const HISTORY: usize = 100;

/// What the keeper owns.
pub struct Keeper {
    path: PathBuf,
    file: String,
    record: Record,
    /// The state shown.
    doc: Document,
    state: i64,
    review: Arc<Review>,
    bodies: Arc<Vec<Mesh>>,
    /// What the file held when it was last read or written.
    on_disk: String,
    saved: Saved,
    /// The files that the design names, as they were before they were last read.
    beside: beside::Stamps,
    clients: BTreeMap<u64, Client>,
    jobs: Jobs,
    /// Counts changes, so that a deep review of an old state ends early.
    turn: Arc<AtomicU64>,
    runs: BTreeMap<Run, Arc<AtomicBool>>,
    found: deep::Found,
    /// What the shop has done, as far as steel goes.
    made: Arc<Made>,
    sheet: sheet::Sheet,
}

/// Why a design can't be kept.
pub type Refused = String;

/// Opens a design and its record, and gives what takes jobs, the work itself, and the token that lets phones in.
///
/// # Errors
/// If the design can't be read, or its record can't be kept; in words.
pub fn open(path: &Path) -> Result<(Jobs, impl FnOnce() + Send + use<>, String), Refused> {
    let text = files::text(path)?;
    let name = path.display().to_string();
    let doc = Document::open(&text).map_err(|p| design::render(&p, &name, &text))?;
    let stamps = beside::stamps(path, doc.design());
    let mut review =
        text::review(path, &doc, &Made::default(), Depth::Live).map_err(|p| design::render(&p, &name, &text))?;
    let mut record = Record::open(&made::record_of(path)).map_err(|e| format!("error: {e}"))?;
    let state = text::begun(&mut record, &text).map_err(|e| format!("error: {e}"))?;
    let token = token(&mut record).map_err(|e| format!("error: {e}"))?;
    let made = made::made(&record, &review).map_err(|e| format!("error: {e}"))?;
    if made != Made::default() {
        review.made(&made);
    }
    let (jobs, inbox) = channel();
    let mut keeper = Keeper {
        file: path.file_name().map_or_else(|| name.clone(), |n| n.to_string_lossy().into_owned()),
        path: path.to_owned(),
        record,
        doc,
        state,
        bodies: Arc::new(view::meshes(&review)),
        review: Arc::new(review),
        on_disk: text,
        saved: Saved::Written,
        beside: stamps,
        clients: BTreeMap::new(),
        jobs: jobs.clone(),
        turn: Arc::new(AtomicU64::new(0)),
        runs: BTreeMap::new(),
        found: deep::Found::default(),
        made: Arc::new(made),
        sheet: sheet::Sheet::of(path),
    };
    let work = move || {
        keeper.look_at_sheet();
        keeper.deepen();
        keeper.work(&inbox);
    };
    Ok((jobs, work, token))
}

/// The token that lets phones in: kept, so that labels printed once go on working.
fn token(record: &mut Record) -> Result<String, String> {
    if let Some(token) = record.setting("token").map_err(|e| e.to_string())? {
        return Ok(token);
    }
    let mut bits = [0u8; 16];
    getrandom::fill(&mut bits).map_err(|e| format!("this machine gives no random numbers: {e}"))?;
    let token: String = bits.iter().map(|b| format!("{b:02x}")).collect();
    record.set_setting("token", &token).map_err(|e| e.to_string())?;
    Ok(token)
}

impl Keeper {
    fn work(&mut self, inbox: &Receiver<Job>) {
        let mut waiting: VecDeque<Job> = VecDeque::new();
        loop {
            let job = match waiting.pop_front() {
                Some(job) => job,
                None => match inbox.recv() {
                    Ok(job) => job,
                    Err(_) => return,
                },
            };
            waiting.extend(inbox.try_iter());
            if let Job::Ask(who, Ask::Try { .. }) = &job
                && waiting.iter().any(|j| overtakes(j, *who))
            {
                continue;
            }
            match job {
                Job::End => return,
                job => self.one(job),
            }
        }
    }

    fn one(&mut self, job: Job) {
        match job {
            Job::Join(id, client) => {
                let _ = client.views.send_replace(Some(Arc::new(self.shown())));
                self.clients.insert(id, client);
            }
            Job::Leave(id) => {
                self.clients.remove(&id);
            }
            Job::Ask(id, ask) => self.ask(id, ask),
            Job::Changed => {
                self.changed();
                self.look_beside();
                self.look_at_sheet();
            }
            Job::Laid(turn, built) => self.laid(turn, built),
            Job::Deep(turn, state, review) => {
                // What the shop has cut meanwhile makes another plan of the same state.
                if state == self.state && turn == self.turn.load(Ordering::SeqCst) {
                    let mut review = review;
                    review.lay(self.review.built.clone());
                    self.found.put(&mut review);
                    self.review = Arc::from(review);
                    self.show();
                }
            }
            Job::Ran(run, state, result) => self.ran(run, state, result),
            Job::Running(run, part) => self.tell(&Told::Running { run, part }),
            Job::Shop(ask, back) => {
                let told = self.shop(&ask);
                if let Ok(news) = &told {
                    // What was refused is the sender's alone.
                    self.tell(&Told::Shop(ShopNews { refused: Vec::new(), ..news.clone() }));
                    self.remake();
                }
                let _ = back.send(told);
            }
            Job::Since(number, back) => {
                let _ = back.send(self.since(number));
            }
            Job::History(before, back) => {
                let _ = back.send(self.history(before));
            }
            Job::Look(back) => {
                let taken = self.record.taken().unwrap_or_default();
                let (review, text, sheet) = (self.review.clone(), self.doc.text().to_owned(), self.sheet.head.clone());
                let _ = back.send(Looked { review, text, sheet, taken });
            }
            Job::End => {}
        }
    }

    /// Plans the steel anew if what is cut has changed.
    fn remake(&mut self) {
        // A record that can't be read is told where it is asked for.
        let Ok(made) = made::made(&self.record, &self.review) else { return };
        if made == *self.made {
            return;
        }
        self.made = Arc::new(made);
        let mut r = (*self.review).clone();
        r.made_quickly(&self.made);
        self.review = Arc::new(r);
        self.show();
        // What stands may be another.
        self.lay();
        self.deepen();
    }

    fn ask(&mut self, who: u64, ask: Ask) {
        match ask {
            Ask::Try { id, edits } => self.attempt(who, id, &edits),
            Ask::LetGo => self.show_to(who),
            Ask::Do { id, edits, what, who: name } => {
                let told = self.make(&edits, &what, &name);
                self.answer(who, id, told);
            }
            Ask::Undo { id } => {
                let told = self.step(|r| r.undo());
                self.answer(who, id, told);
            }
            Ask::Redo { id } => {
                let told = self.step(|r| r.redo());
                self.answer(who, id, told);
            }
            Ask::GoTo { id, state } => {
                let told = self.step(|r| r.goto(state));
                self.answer(who, id, told);
            }
            Ask::BeginSheet { id } => {
                let told = self.begin_sheet();
                self.answer(who, id, told);
            }
            Ask::Reading { id, table, name, change } => {
                let told = self.change_reading(&table, &name, change);
                self.answer(who, id, told);
            }
            Ask::Start { run } => self.start(run),
            Ask::Stop { run } => {
                if let Some(stop) = self.runs.get(&run) {
                    stop.store(true, Ordering::Relaxed);
                }
            }
        }
    }

    fn answer(&mut self, who: u64, id: u32, told: Result<(), Vec<ProblemText>>) {
        let told = match told {
            Ok(()) => Told::Done { id },
            Err(problems) => Told::Refused { id, problems },
        };
        if let Some(c) = self.clients.get(&who) {
            let _ = c.news.send(told);
        }
        // Whoever had a trial on the screen sees what is.
        self.show_to(who);
    }

    /// Shows one page what changes would make.
    fn attempt(&mut self, who: u64, id: u32, edits: &[Edit]) {
        let shown = match text::tried(&self.path, &self.doc, &self.made, edits) {
            Ok((_, review)) => {
                let bodies = Arc::new(view::meshes(&review));
                let view = view::view(&review, &bodies, self.standing(Some(id), Vec::new()));
                Shown { view, bodies }
            }
            Err(problems) => {
                let view = view::view(&self.review, &self.bodies, self.standing(Some(id), problems));
                Shown { view, bodies: self.bodies.clone() }
            }
        };
        if let Some(c) = self.clients.get(&who) {
            let _ = c.views.send_replace(Some(Arc::new(shown)));
        }
    }

    fn standing(&self, trial: Option<u32>, problems: Vec<ProblemText>) -> Standing {
        let [undo, redo] = self.record.steps().unwrap_or([0, 0]);
        Standing {
            state: self.state,
            trial,
            file: self.file.clone(),
            saved: self.saved.clone(),
            steps: [undo, redo],
            undo_what: if undo > 0 {
                self.record.now().ok().flatten().map_or(String::new(), |s| s.what)
            } else {
                String::new()
            },
            problems,
            sheet: self.sheet.head.clone(),
            before: self.sheet.before.clone(),
        }
    }

    fn shown(&self) -> Shown {
        let notes = problems::texts(self.doc.notes(), self.doc.text());
        Shown { view: view::view(&self.review, &self.bodies, self.standing(None, notes)), bodies: self.bodies.clone() }
    }

    fn show(&self) {
        let shown = Arc::new(self.shown());
        for c in self.clients.values() {
            let _ = c.views.send_replace(Some(shown.clone()));
        }
    }

    fn show_to(&self, who: u64) {
        if let Some(c) = self.clients.get(&who) {
            let _ = c.views.send_replace(Some(Arc::new(self.shown())));
        }
    }

    fn tell(&self, told: &Told) {
        for c in self.clients.values() {
            let _ = c.news.send(told.clone());
        }
    }

    fn history(&self, before: Option<i64>) -> Result<Vec<HistoryRow>, String> {
        let rows = self.record.history(HISTORY, before).map_err(|e| e.to_string())?;
        Ok(rows
            .into_iter()
            .map(|s| HistoryRow { current: s.id == self.state, state: s.id, at: s.at, who: s.who, what: s.what })
            .collect())
    }
}

/// Whether a job makes an earlier trial of the same page idle.
fn overtakes(job: &Job, who: u64) -> bool {
    matches!(job, Job::Ask(w, Ask::Try { .. } | Ask::LetGo | Ask::Do { .. }) if *w == who)
}

/// Now, ms since 1970.
pub(crate) fn clock() -> i64 {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    now.map_or(0, |d| d.as_millis() as i64)
}
