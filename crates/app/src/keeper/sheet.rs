//! The measured sheet beside the design: read, laid over the answers, written into.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use build::{Doing, Taken};
use design::measured::{self, Entry, Tool};
use design::{Problem, Units};
use review::built::{self, Built};
use review::{Text, jigs};

use super::problems::{plain, texts};
use super::{Job, Keeper, pools};
use crate::wire::{MeasureTool, ProblemText, Reading, ReadingChange, RefusedReading, SheetHead, SheetIs};
use crate::{files, skins, tell};

/// What the keeper knows of the sheet.
pub(super) struct Sheet {
    path: PathBuf,
    /// What the file held when it was last read or written; `None` if there is none, or it can't be read.
    text: Option<String>,
    pub head: SheetHead,
    /// The page of the state before, while the next is worked out.
    pub before: Option<crate::wire::Page>,
    /// Counts what is to be laid: what comes of an older one is let go.
    turn: Arc<AtomicU64>,
}

impl Sheet {
    pub fn of(design: &Path) -> Sheet {
        let path = crate::measured::sheet_of(design);
        let file = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        Sheet { path, text: None, head: SheetHead { file, ..SheetHead::default() }, before: None, turn: Arc::default() }
    }

    fn unreadable(&mut self, problems: Vec<ProblemText>) {
        self.head.is = SheetIs::Unreadable;
        self.head.problems = problems;
        self.before = None;
    }
}

/// A whole shop may be named; a remark is no letter.
const WHO: usize = 60;

/// So much of an id tells readings of one table apart; more is taken where it does not.
const NAME: usize = 6;

/// Two readings of one name that differ by less are one that was sent twice, m or rad.
const SAME: f64 = 1e-6;

/// Why a reading is not in the sheet, and whether it may be sent again as it is.
type Refused = (String, bool);

impl Keeper {
    /// Reads the file anew; true if it says something else.
    fn read_sheet(&mut self) -> bool {
        let before = (self.sheet.text.take(), self.sheet.head.is, self.sheet.head.problems.clone());
        if !self.sheet.path.exists() {
            self.sheet.head.is = SheetIs::None;
            self.sheet.head.problems.clear();
        } else {
            match files::text(&self.sheet.path) {
                Ok(text) => {
                    // What is laid of the same text stays.
                    let same = before.0.as_ref() == Some(&text);
                    self.sheet.text = Some(text);
                    if same {
                        return false;
                    }
                    self.sheet.head.is = SheetIs::Laying;
                    self.sheet.head.problems.clear();
                    return true;
                }
                Err(why) => {
                    let why = why.strip_prefix("error: ").unwrap_or(&why).to_owned();
                    self.sheet.unreadable(vec![plain(why, "mend the file, or take it away")]);
                }
            }
        }
        before != (None, self.sheet.head.is, self.sheet.head.problems.clone())
    }

    /// Looks whether the sheet has changed, and lays it if so.
    pub(super) fn look_at_sheet(&mut self) {
        if self.read_sheet() {
            self.lay();
        }
    }

    /// Keeps the page of the state shown for the time in which the next one's is worked out.
    pub(super) fn keep_built(&mut self) {
        if self.sheet.head.is == SheetIs::Laid
            && let Some(page) = tell::built(&self.review)
        {
            self.sheet.before = Some(page);
        }
    }

    /// Works the frame as built out beside, for the state shown, and shows that it is under way.
    pub(super) fn lay(&mut self) {
        let turn = self.sheet.turn.fetch_add(1, Ordering::SeqCst) + 1;
        let Some(text) = self.sheet.text.clone() else {
            self.set_built(None);
            self.show();
            return;
        };
        self.keep_built();
        self.sheet.head.is = SheetIs::Laying;
        self.show();
        let (now, jobs, review, made) =
            (self.sheet.turn.clone(), self.jobs.clone(), self.review.clone(), self.made.clone());
        std::thread::spawn(move || {
            pools::brief(|| {
                if now.load(Ordering::SeqCst) == turn {
                    let built = built::built(&review, &text, &made).map(Box::new);
                    let _ = jobs.send(Job::Laid(turn, built));
                }
            });
        });
    }

    /// Takes in what was laid.
    pub(super) fn laid(&mut self, turn: u64, built: Result<Box<Built>, Vec<Problem>>) {
        if self.sheet.turn.load(Ordering::SeqCst) != turn {
            return;
        }
        match built {
            Ok(b) => {
                self.sheet.head.is = SheetIs::Laid;
                self.sheet.head.laid += 1;
                self.sheet.before = None;
                self.set_built(Some(Arc::from(b)));
            }
            Err(problems) => {
                let text = self.sheet.text.clone().unwrap_or_default();
                self.sheet.unreadable(texts(&problems, &text));
                self.set_built(None);
            }
        }
        self.show();
    }

    fn set_built(&mut self, built: Option<Arc<Built>>) {
        if built.is_none() && self.review.built.is_none() {
            return;
        }
        let mut r = (*self.review).clone();
        r.lay(built);
        self.review = Arc::new(r);
    }

    /// Puts another text into the file, and lays it.
    fn write_sheet(&mut self, text: String) -> Result<(), String> {
        files::write(&self.sheet.path, text.as_bytes())?;
        self.sheet.text = Some(text);
        self.lay();
        Ok(())
    }

    /// The text to write into: that of the file as it is now, or the head of a new one.
    fn sheet_text(&mut self) -> Result<String, Vec<ProblemText>> {
        self.look_at_sheet();
        let design = &self.review.shape.design;
        match &self.sheet.text {
            // It may have been broken a moment ago.
            Some(text) => _ = measured::read(text, design).map_err(|p| texts(&p, text))?,
            None if self.sheet.head.is == SheetIs::Unreadable => return Err(self.sheet.head.problems.clone()),
            None => {}
        }
        Ok(self.sheet.text.clone().unwrap_or_else(|| {
            let d = &self.review.shape.design;
            let units = match d.units {
                Units::Mm => "mm",
                Units::In => "in",
            };
            format!(
                "# What was measured on {}.\n\n[sheet]\nunits = \"{units}\"\n",
                d.name.replace(char::is_control, " ")
            )
        }))
    }

    /// Writes a sheet to be filled in.
    pub(super) fn begin_sheet(&mut self) -> Result<(), Vec<ProblemText>> {
        self.look_at_sheet();
        if self.sheet.path.exists() {
            let what = format!("{} is there already", self.sheet.head.file);
            return Err(vec![plain(what, "fill that in, or move it away")]);
        }
        let r = &self.review;
        let text = built::to_fill_in(r, &jigs::of(r), &Text::new(&r.shape.design));
        self.write_sheet(text).map_err(|why| vec![plain(why, "look whether the folder can be written to")])
    }

    /// Changes what becomes of a reading.
    pub(super) fn change_reading(
        &mut self,
        table: &str,
        name: &str,
        change: ReadingChange,
    ) -> Result<(), Vec<ProblemText>> {
        let text = self.sheet_text()?;
        let new = match change {
            ReadingChange::TakeOut => measured::remove(&text, table, name),
            ReadingChange::LeaveOut => measured::leave_out(&text, table, name, true),
            ReadingChange::Use => measured::leave_out(&text, table, name, false),
        };
        match new.map_err(|p| texts(&p, &text))? {
            Some(new) if new == text => Ok(()),
            Some(new) => {
                self.write_sheet(new).map_err(|why| vec![plain(why, "look whether the folder can be written to")])
            }
            None => Err(vec![plain(
                format!("{table} {name} is not in {}", self.sheet.head.file),
                "it was taken out before",
            )]),
        }
    }

    /// Writes readings into the sheet. Those that are not in it when this returns are given back; all others are on the disk.
    pub(super) fn readings(&mut self, list: &[Reading]) -> Vec<RefusedReading> {
        if list.is_empty() {
            return Vec::new();
        }
        let refuse =
            |list: &[Reading], why: &str| list.iter().map(|r| refused(r, (why.to_owned(), true))).collect::<Vec<_>>();
        let before = match self.sheet_text() {
            Ok(text) => text,
            Err(problems) => return refuse(list, &unread(&self.sheet.head.file, &problems)),
        };
        let (mut text, mut out, mut fresh) = (before.clone(), Vec::new(), Vec::new());
        for r in list {
            match self.reading(&text, r) {
                Ok(None) => {}
                Ok(Some((new, taken))) => {
                    text = new;
                    fresh.push((r, taken));
                }
                Err(why) => out.push(refused(r, why)),
            }
        }
        if text != before
            && let Err(why) = self.write_sheet(text)
        {
            return refuse(list, &why);
        }
        // After the file: a reading that is only in the record would be lost.
        for (r, taken) in fresh {
            if let Err(e) = self.record.done(&r.id, &Doing::Reading(taken), &r.who, r.at) {
                out.push(refused(r, (e.to_string(), true)));
            }
        }
        out
    }

    /// The text with a reading, and its entry; `None` if it was taken in before.
    fn reading(&self, text: &str, r: &Reading) -> Result<Option<(String, Taken)>, Refused> {
        if self.record.knows(&r.id).map_err(|e| (e.to_string(), true))? {
            return Ok(None);
        }
        let told = |p: Vec<Problem>| {
            let p = p.into_iter().next();
            let (what, help) = p.map_or((String::new(), None), |p| (p.message, p.help));
            (help.map_or(what.clone(), |h| format!("{what}: {h}")), false)
        };
        let design = &self.review.shape.design;
        let tool = tool(r.tool);
        let table = tool.table();
        let who: String = r.who.trim().chars().take(WHO).collect();
        let day = files::date(r.at);
        let mut entry = Entry {
            name: r.again.clone(),
            tool,
            at: r.places.clone(),
            over: (tool == Tool::Height && !r.over.is_empty() && r.over != measured::LEVEL).then(|| r.over.clone()),
            reads: r.reads,
            add: 0.0,
            good_to: None,
            remark: Some(if who.is_empty() { day } else { format!("{who}, {day}") }),
        };
        let taken = |name: String| Taken { table: table.to_owned(), name };
        if let Some(name) = &r.again
            && let Some(new) = measured::retake(text, design, &entry).map_err(told)?
        {
            return Ok(Some((new, taken(name.clone()))));
        }
        let (sheet, _) = measured::read(text, design).map_err(told)?;
        entry.name = Some(name_of(&sheet, &entry, &r.id));
        let (new, name) = measured::add(text, design, &entry).map_err(told)?;
        Ok(Some((new, taken(name))))
    }
}

fn refused(r: &Reading, (why, later): Refused) -> RefusedReading {
    RefusedReading { id: r.id.clone(), why, later }
}

/// Why nothing is written into a sheet.
fn unread(file: &str, problems: &[ProblemText]) -> String {
    let first = problems.first();
    let line = first.and_then(|p| p.line).map_or(String::new(), |l| format!(", line {l}"));
    let what = first.map_or(String::new(), |p| format!(": {}", p.what));
    format!("{file}{line} can't be read{what}")
}

/// A name that follows from an id, so that what is sent twice takes its own place; and no other's.
fn name_of(sheet: &measured::Measured, entry: &Entry, id: &str) -> String {
    let hash = skins::sha256(id.as_bytes());
    let letter = &entry.tool.table()[..1];
    let free = |name: &String| {
        let mut same = sheet.readings.iter().filter(|r| r.tool.table() == entry.tool.table() && r.name == *name);
        same.all(|r| r.tool == entry.tool && (r.reads - entry.reads).abs() < SAME)
    };
    let mut names = (NAME..=hash.len()).map(|n| format!("{letter}{}", &hash[..n]));
    names.clone().find(free).or_else(|| names.next_back()).unwrap_or_default()
}

/// A tool as the sheet has it.
fn tool(t: MeasureTool) -> Tool {
    match t {
        MeasureTool::Tape => Tool::Tape,
        MeasureTool::LevelTape => Tool::LevelTape,
        MeasureTool::Height => Tool::Height,
        MeasureTool::Rise => Tool::Rise,
        MeasureTool::PlumbX => Tool::PlumbX,
        MeasureTool::PlumbY => Tool::PlumbY,
        MeasureTool::String => Tool::String,
        MeasureTool::Finder => Tool::Finder,
        MeasureTool::Bevel => Tool::Bevel,
    }
}
