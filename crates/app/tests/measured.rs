//! The measured sheet at the keeper: read, laid over the answers, written into by phones and pages.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::Sender;
use std::time::{Duration, Instant};

use app::keeper::{Client, Job, Looked, Shown, open};
use app::wire::{Ask, MeasureTool, Page, Reading, ReadingChange, SheetIs, ShopAsk, ShopNews, Told, Word};
use design::Edit;
use tokio::sync::{mpsc, oneshot, watch};

/// Longer than anything here takes on a loaded machine.
const LONG: Duration = Duration::from_secs(120);

struct House {
    folder: PathBuf,
    jobs: Sender<Job>,
    view: watch::Receiver<Option<Arc<Shown>>>,
    news: mpsc::UnboundedReceiver<Told>,
    work: Option<std::thread::JoinHandle<()>>,
    asked: u32,
}

impl House {
    fn open(name: &str, sheet: Option<&str>) -> House {
        let folder = std::env::temp_dir().join(format!("tubewright-measured-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join("wren.toml"), include_str!("../../../examples/wren.toml")).unwrap();
        if let Some(text) = sheet {
            std::fs::write(folder.join("wren.measured.toml"), text).unwrap();
        }
        House::again(folder)
    }

    fn again(folder: PathBuf) -> House {
        let (jobs, work, _) = open(&folder.join("wren.toml")).unwrap();
        let work = Some(std::thread::spawn(work));
        let (views, view) = watch::channel(None);
        let (to, news) = mpsc::unbounded_channel();
        jobs.send(Job::Join(1, Client { views, news: to })).unwrap();
        House { folder, jobs, view, news, work, asked: 0 }
    }

    fn sheet(&self) -> PathBuf {
        self.folder.join("wren.measured.toml")
    }

    fn text(&self) -> String {
        std::fs::read_to_string(self.sheet()).unwrap_or_default()
    }

    /// The first view that a condition holds for.
    fn until(&mut self, what: &str, is: impl Fn(&Shown) -> bool) -> Arc<Shown> {
        let end = Instant::now() + LONG;
        loop {
            if let Some(s) = self.view.borrow_and_update().clone().filter(|s| is(s)) {
                return s;
            }
            assert!(Instant::now() < end, "never {what}");
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    fn laid(&mut self, after: u64) -> Arc<Shown> {
        self.until("laid", |s| s.view.sheet.is == SheetIs::Laid && s.view.sheet.laid > after)
    }

    fn ask(&mut self, make: impl FnOnce(u32) -> Ask) -> Result<(), Vec<app::wire::ProblemText>> {
        self.asked += 1;
        let id = self.asked;
        self.jobs.send(Job::Ask(1, make(id))).unwrap();
        loop {
            match self.news.blocking_recv().unwrap() {
                Told::Done { id: n } if n == id => return Ok(()),
                Told::Refused { id: n, problems } if n == id => return Err(problems),
                _ => {}
            }
        }
    }

    fn send(&self, readings: Vec<Reading>) -> ShopNews {
        let (to, from) = oneshot::channel();
        self.jobs.send(Job::Shop(ShopAsk { readings, ..ShopAsk::default() }, to)).unwrap();
        from.blocking_recv().unwrap().unwrap()
    }

    fn look(&self) -> Looked {
        let (to, from) = oneshot::channel();
        self.jobs.send(Job::Look(to)).unwrap();
        from.blocking_recv().unwrap()
    }

    fn end(&mut self) {
        let _ = self.jobs.send(Job::End);
        if let Some(work) = self.work.take() {
            work.join().unwrap();
        }
    }
}

impl Drop for House {
    fn drop(&mut self) {
        let _ = self.jobs.send(Job::End);
        let _ = self.work.take().map(std::thread::JoinHandle::join);
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

fn page(s: &Shown) -> Option<&Page> {
    s.view.pages.iter().find(|p| p.word == Word::Build)
}

/// How many readings the page of a view lists.
fn rows(s: &Shown) -> usize {
    page(s).and_then(|p| p.tables.iter().find(|t| t.key == "readings")).map_or(0, |t| t.rows.len())
}

fn tape(id: &str, from: &str, to: &str, mm: f64) -> Reading {
    Reading {
        id: id.into(),
        tool: MeasureTool::Tape,
        places: vec![from.into(), to.into()],
        over: String::new(),
        reads: mm / 1e3,
        again: None,
        who: "Ida".into(),
        at: 1_790_000_000_000,
    }
}

/// Some distances of the demo as they could be on a car, in mm, with remarks.
const SHEET: &str = "# Measured on the trestles.\n[sheet]\nunits = \"mm\" # a metric tape\n\n[tape]\n\
t1 = { from = \"rail_front\", to = \"rail_rear\", reads = 2282.5 } # the left one\n\
t2 = { from = \"rail_front~\", to = \"rail_rear~\", reads = 2281 }\n\
t3 = { from = \"rail_front\", to = \"rail_rear~\", reads = 2333.5 }\n\n# the last word\n";

#[test]
fn the_sheet_is_read_at_the_start_and_after_a_change_of_the_design() {
    let mut house = House::open("start", Some(SHEET));
    let shown = house.laid(0);
    assert_eq!(rows(&shown), 3);
    let found = page(&shown).unwrap();
    assert!(found.tables.iter().any(|t| t.key == "off") && !found.cautions.is_empty(), "{found:?}");
    // A trial has no page of its own: the one that is shown stands as it was.
    let (name, at) = shown.view.points.iter().find(|p| p.free && !p.twin).map(|p| (p.name.clone(), p.at)).unwrap();
    let to = [at[0] + 0.0127, at[1], at[2]];
    let edits = vec![Edit::SetPoint { point: name, at: to }];
    house.jobs.send(Job::Ask(1, Ask::Try { id: 99, edits: edits.clone() })).unwrap();
    let trial = house.until("tried", |s| s.view.trial == Some(99));
    assert!(page(&trial).is_none());
    // After the change: the page as it was, until the frame as built is worked out anew.
    let before = shown.view.sheet.laid;
    house.ask(|id| Ask::Do { id, edits, what: "moved".into(), who: String::new() }).unwrap();
    let first = house.until("changed", |s| s.view.undo == 1);
    assert_eq!(rows(&first), 3, "{:?}", first.view.sheet);
    let after = house.laid(before);
    assert_eq!((rows(&after), after.view.undo), (3, 1));
    // All of strength comes later, and keeps it.
    let deep = house.until("deep", |s| s.view.pages.iter().any(|p| p.word == Word::Jigs));
    assert_eq!(rows(&deep), 3);
    assert_eq!(house.text(), SHEET);
}

#[test]
fn a_sheet_that_comes_changes_or_goes_is_taken_in() {
    let mut house = House::open("outside", None);
    let shown = house.until("shown", |s| page(s).is_some());
    assert_eq!((shown.view.sheet.is, rows(&shown)), (SheetIs::None, 0));
    assert!(page(&shown).unwrap().lead.starts_with("Nothing was measured"));
    std::fs::write(house.sheet(), SHEET).unwrap();
    house.jobs.send(Job::Changed).unwrap();
    let laid = house.laid(0);
    assert_eq!(rows(&laid), 3);
    std::fs::write(house.sheet(), SHEET.replace("t2 =", "#t2 =")).unwrap();
    house.jobs.send(Job::Changed).unwrap();
    assert_eq!(rows(&house.laid(laid.view.sheet.laid)), 2);
    std::fs::remove_file(house.sheet()).unwrap();
    house.jobs.send(Job::Changed).unwrap();
    let gone = house.until("gone", |s| s.view.sheet.is == SheetIs::None);
    assert!(rows(&gone) == 0 && house.look().review.built.is_none());
}

#[test]
fn a_broken_sheet_is_told_with_its_line_and_nothing_of_it_is_used() {
    let mut house = House::open("broken", Some(SHEET));
    house.laid(0);
    let broken = SHEET.replace("t2 = {", "t2 = ");
    std::fs::write(house.sheet(), &broken).unwrap();
    house.jobs.send(Job::Changed).unwrap();
    let shown = house.until("told", |s| s.view.sheet.is == SheetIs::Unreadable);
    assert_eq!(shown.view.sheet.problems[0].line, Some(7), "{:?}", shown.view.sheet);
    let found = page(&shown).unwrap();
    assert!(found.findings[0].what.starts_with("wren.measured.toml, line 7: "), "{found:?}");
    assert!(found.tables.is_empty() && house.look().review.built.is_none());
    // A phone keeps what it has until the sheet is mended; nothing is written over it.
    let one = tape("a", "rail_rear", "rail_rear~", 500.0);
    let refused = house.send(vec![one.clone()]).refused;
    assert!(refused[0].later && refused[0].why.contains("line 7"), "{refused:?}");
    assert_eq!(house.text(), broken);
    let change = ReadingChange::LeaveOut;
    assert!(house.ask(|id| Ask::Reading { id, table: "tape".into(), name: "t1".into(), change }).is_err());
    assert_eq!(house.text(), broken);
    // Mended, and not yet seen: the reading goes in all the same.
    std::fs::write(house.sheet(), SHEET).unwrap();
    assert_eq!(house.send(vec![one]).refused, []);
    house.until("mended", |s| rows(s) == 4);
}

#[test]
fn a_reading_that_is_sent_twice_counts_once_and_all_that_stands_in_the_sheet_stays() {
    let mut house = House::open("twice", Some(SHEET));
    let laid = house.laid(0).view.sheet.laid;
    let one = tape("5e1f", "rail_rear outside", "rail_rear~ outside", 546.5);
    assert_eq!(house.send(vec![one.clone()]).refused, []);
    let once = house.text();
    let line = once.lines().find(|l| l.contains("546.5")).unwrap().to_owned();
    assert!(line.ends_with(" # Ida, 2026-09-21"), "{line}");
    assert_eq!(once.replace(&format!("{line}\n"), ""), SHEET);
    assert_eq!(rows(&house.laid(laid)), 4);
    assert_eq!(house.send(vec![one.clone(), one.clone()]).refused, []);
    assert_eq!(house.text(), once);
    // Neither after a restart, nor once somebody has taken it out.
    house.end();
    let mut house = House::again(std::mem::take(&mut house.folder));
    assert_eq!(house.send(vec![one.clone()]).refused, []);
    assert_eq!(house.text(), once);
    std::fs::write(house.sheet(), SHEET).unwrap();
    assert_eq!(house.send(vec![one.clone()]).refused, []);
    assert_eq!(house.text(), SHEET);
    // One that was written down while the answer, and the record, were lost: it takes its own place.
    std::fs::write(house.sheet(), &once).unwrap();
    house.end();
    let folder = std::mem::take(&mut house.folder);
    for end in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(folder.join(format!("wren.record.db{end}")));
    }
    let house = House::again(folder);
    assert_eq!(house.send(vec![one]).refused, []);
    assert_eq!(house.text(), once);
    // Another reading with the name that the first had is another's.
    let taken = house.look().taken;
    assert_eq!(taken.values().collect::<Vec<_>>(), [&("Ida".to_owned(), 1_790_000_000_000)]);
}

#[test]
fn one_that_makes_no_sense_is_refused_for_good_and_the_others_are_kept() {
    let mut house = House::open("nonsense", None);
    house.until("shown", |_| true);
    let good = tape("a", "rail_front", "rail_rear", 2282.0);
    let bad = [
        tape("b", "rail_front", "no_such_point", 1.0),
        tape("c", "rail_front", "rail_rear", -3.0),
        tape("d", "rail_front", "rail_rear", f64::NAN),
        tape("e", "rail_front", "rail_rear", 1e300),
        Reading { places: vec!["rail_front".into()], ..tape("f", "", "", 5.0) },
        Reading { tool: MeasureTool::Height, over: "x\n\"] evil".into(), ..tape("g", "rail_front sideways", "", 5.0) },
    ];
    let mut all = bad.to_vec();
    all.insert(3, good);
    let refused = house.send(all).refused;
    assert_eq!(refused.iter().map(|r| r.id.as_str()).collect::<Vec<_>>(), ["b", "c", "d", "e", "f", "g"]);
    assert!(refused.iter().all(|r| !r.later && !r.why.is_empty()), "{refused:?}");
    // Where there was no sheet there is one now, in the units of the design.
    let text = house.text();
    assert!(text.starts_with("# What was measured on ") && text.contains("units = \"in\""), "{text}");
    let design = design::read(include_str!("../../../examples/wren.toml")).unwrap().design;
    let (sheet, problems) = design::measured::read(&text, &design).unwrap();
    assert!(problems.is_empty() && sheet.readings.len() == 1);
    assert!((sheet.readings[0].reads - 2.282).abs() < 1e-6);
    // Odd names and marks of who sends it stay within their line.
    let odd = Reading {
        who: "Ida\n[tape]\nx = 1\u{7f}".repeat(9),
        at: i64::MIN,
        ..tape("h~\"", "rail_front", "rail_rear", 2282.0)
    };
    assert_eq!(house.send(vec![odd]).refused, []);
    let (sheet, problems) = design::measured::read(&house.text(), &design).unwrap();
    assert!(problems.is_empty() && sheet.readings.len() == 2, "{}", house.text());
}

#[test]
fn a_reading_is_taken_again_left_out_used_again_and_taken_out() {
    let mut house = House::open("again", Some(SHEET));
    house.laid(0);
    let again = Reading { again: Some("t1".into()), ..tape("r", "rail_front", "rail_rear", 2280.0) };
    assert_eq!(house.send(vec![again]).refused, []);
    let now =
        SHEET.replace("reads = 2282.5", "reads = 2280").replace("# the left one", "# the left one; Ida, 2026-09-21");
    assert_eq!(house.text(), now);
    let mut ask =
        |name: &str, change| house.ask(|id| Ask::Reading { id, table: "tape".into(), name: name.into(), change });
    ask("t2", ReadingChange::LeaveOut).unwrap();
    assert!(ask("t7", ReadingChange::LeaveOut).is_err());
    assert!(house.text().contains("reads = 2281, leave_out = true }"), "{}", house.text());
    let left = house.until("left out", |s| {
        s.view.sheet.is == SheetIs::Laid && page(s).is_some_and(|p| acts(p) == [true, false, true])
    });
    assert_eq!(rows(&left), 3);
    let mut ask =
        |name: &str, change| house.ask(|id| Ask::Reading { id, table: "tape".into(), name: name.into(), change });
    ask("t2", ReadingChange::Use).unwrap();
    assert_eq!(house.text(), now);
    let mut ask =
        |name: &str, change| house.ask(|id| Ask::Reading { id, table: "tape".into(), name: name.into(), change });
    ask("t3", ReadingChange::TakeOut).unwrap();
    assert!(!house.text().contains("t3 ="));
    house.until("two", |s| s.view.sheet.is == SheetIs::Laid && rows(s) == 2);
}

/// Whether each reading of the page is used.
fn acts(p: &Page) -> Vec<bool> {
    let table = p.tables.iter().find(|t| t.key == "readings");
    let rows = table.map_or(&[][..], |t| &t.rows);
    rows.iter()
        .filter_map(|r| if let Some(app::wire::Act::Reading { used, .. }) = &r.act { Some(*used) } else { None })
        .collect()
}

#[test]
fn a_sheet_to_fill_in_is_begun_once() {
    let mut house = House::open("begin", None);
    house.until("shown", |_| true);
    house.ask(|id| Ask::BeginSheet { id }).unwrap();
    let text = house.text();
    assert!(text.contains("[tape]") && text.contains("# t1 = "), "{text}");
    let laid = house.laid(0);
    assert!(page(&laid).unwrap().lead.contains("The sheet is begun"), "{:?}", page(&laid));
    assert!(house.ask(|id| Ask::BeginSheet { id }).is_err());
    assert_eq!(house.text(), text);
    // A reading goes into it with all its remarks.
    assert_eq!(house.send(vec![tape("a", "rail_front", "rail_rear", 2282.0)]).refused, []);
    let new = house.text();
    let line = new.lines().find(|l| l.contains("Ida")).unwrap();
    assert_eq!(new.replace(&format!("{line}\n"), ""), text);
}

#[test]
fn ticks_that_say_what_stands_lay_the_sheet_anew() {
    let mut house = House::open("ticks", Some(SHEET));
    let laid = house.laid(0).view.sheet.laid;
    let stands = |h: &House| h.look().review.built.as_ref().map_or(Vec::new(), |b| b.fit.standing.clone());
    assert!(!stands(&house).contains(&"main_hoop".to_owned()));
    let tick = app::wire::Tick {
        id: "t".into(),
        piece: "main_hoop".into(),
        operation: build::Operation::Welded,
        done: true,
        who: String::new(),
        at: 1,
    };
    let (to, from) = oneshot::channel();
    house.jobs.send(Job::Shop(ShopAsk { ticks: vec![tick], ..ShopAsk::default() }, to)).unwrap();
    from.blocking_recv().unwrap().unwrap();
    house.laid(laid);
    assert_eq!(stands(&house), ["main_hoop"]);
}

#[test]
fn an_absent_folder_is_no_reason_to_panic() {
    let mut house = House::open("absent", Some(SHEET));
    house.laid(0);
    let kept = house.folder.with_extension("away");
    let _ = std::fs::remove_dir_all(&kept);
    std::fs::rename(&house.folder, &kept).unwrap();
    std::fs::write(&house.folder, "no folder").unwrap();
    let refused = house.send(vec![tape("a", "rail_front", "rail_rear", 2282.0)]).refused;
    assert!(refused.iter().all(|r| r.later) && refused.len() == 1, "{refused:?}");
    std::fs::remove_file(&house.folder).unwrap();
    std::fs::rename(&kept, &house.folder).unwrap();
    assert_eq!(house.send(vec![tape("a", "rail_front", "rail_rear", 2282.0)]).refused, []);
    assert!(house.text().contains("Ida"));
}
