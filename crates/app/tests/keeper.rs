//! The keeper alone: changes, going back, changes from outside, and what the disk holds meanwhile.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::Sender;
use std::time::{Duration, Instant};

use app::keeper::{Client, Job, Shown, open};
use app::wire::{Ask, ProblemText, Run, Saved, Told};
use design::Edit;
use tokio::sync::{mpsc, watch};

/// A folder of its own, taken away afterwards.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Folder {
        let path = std::env::temp_dir().join(format!("tubewright-keeper-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        std::fs::write(path.join("wren.toml"), include_str!("../../../examples/wren.toml")).unwrap();
        Folder(path)
    }

    fn design(&self) -> PathBuf {
        self.0.join("wren.toml")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

struct Page {
    jobs: Sender<Job>,
    view: watch::Receiver<Option<Arc<Shown>>>,
    news: mpsc::UnboundedReceiver<Told>,
    number: u64,
    asked: u32,
    work: Option<std::thread::JoinHandle<()>>,
}

/// Longer than anything here takes on a loaded machine.
const LONG: Duration = Duration::from_secs(60);

impl Page {
    fn open(path: &Path) -> Page {
        let (jobs, work, _) = open(path).unwrap();
        let work = std::thread::spawn(work);
        Page { work: Some(work), ..Page::join(&jobs, 1) }
    }

    fn join(jobs: &Sender<Job>, number: u64) -> Page {
        let (views, view) = watch::channel(None);
        let (to, news) = mpsc::unbounded_channel();
        jobs.send(Job::Join(number, Client { views, news: to })).unwrap();
        Page { jobs: jobs.clone(), view, news, number, asked: 0, work: None }
    }

    fn close(mut self) {
        self.jobs.send(Job::End).unwrap();
        self.work.take().unwrap().join().unwrap();
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

    fn ask(&mut self, make: impl FnOnce(u32) -> Ask) -> Result<(), Vec<ProblemText>> {
        self.asked += 1;
        let id = self.asked;
        self.jobs.send(Job::Ask(self.number, make(id))).unwrap();
        loop {
            match self.news.blocking_recv().unwrap() {
                Told::Done { id: n } if n == id => return Ok(()),
                Told::Refused { id: n, problems } if n == id => return Err(problems),
                _ => {}
            }
        }
    }

    fn make(&mut self, edits: Vec<Edit>) -> Result<(), Vec<ProblemText>> {
        self.ask(|id| Ask::Do { id, edits, what: "a change".into(), who: "Ida".into() })
    }
}

/// A point of the demo that is placed by coordinates, and where it is.
fn free(s: &Shown) -> (String, [f64; 3]) {
    let p = s.view.points.iter().find(|p| p.free && !p.twin && !p.tubes.is_empty()).unwrap();
    (p.name.clone(), p.at)
}

fn at(s: &Shown, name: &str) -> [f64; 3] {
    s.view.points.iter().find(|p| p.name == name).unwrap().at
}

fn moved(name: &str, to: [f64; 3]) -> Vec<Edit> {
    vec![Edit::SetPoint { point: name.into(), at: to }]
}

fn near(a: [f64; 3], b: [f64; 3]) -> bool {
    a.iter().zip(b).all(|(x, y)| (x - y).abs() < 1e-9)
}

#[test]
fn a_change_reaches_the_file_with_its_comments_and_goes_back_over_a_restart() {
    let folder = Folder::new("change");
    let before = std::fs::read_to_string(folder.design()).unwrap();
    let mut page = Page::open(&folder.design());
    let (name, from) = free(&page.until("shown", |_| true));
    let to = [from[0], from[1], from[2] + 0.0127];
    page.make(moved(&name, to)).unwrap();
    page.until("moved", |s| near(at(s, &name), to));
    let after = std::fs::read_to_string(folder.design()).unwrap();
    let differ: Vec<_> = before.lines().zip(after.lines()).filter(|(a, b)| a != b).collect();
    assert_eq!((differ.len(), before.lines().count()), (1, after.lines().count()), "{differ:?}");
    page.close();
    // Undone after a restart, to the byte; and made again.
    let mut page = Page::open(&folder.design());
    assert_eq!(page.until("shown", |_| true).view.undo, 1);
    page.ask(|id| Ask::Undo { id }).unwrap();
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), before);
    page.ask(|id| Ask::Redo { id }).unwrap();
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), after);
    page.close();
}

#[test]
fn a_trial_changes_nothing_and_an_impossible_change_is_refused_with_its_reason() {
    let folder = Folder::new("trial");
    let before = std::fs::read_to_string(folder.design()).unwrap();
    let mut page = Page::open(&folder.design());
    let (name, from) = free(&page.until("shown", |_| true));
    let to = [from[0], from[1], from[2] + 0.0127];
    let ask = Ask::Try { id: 7, edits: moved(&name, to) };
    page.jobs.send(Job::Ask(1, ask)).unwrap();
    let shown = page.until("tried", |s| s.view.trial == Some(7));
    assert!(near(at(&shown, &name), to));
    page.jobs.send(Job::Ask(1, Ask::LetGo)).unwrap();
    page.until("let go", |s| s.view.trial.is_none() && near(at(s, &name), from));
    // Off every number: the trial says so, a change is refused; the file is as it was.
    let nowhere = moved(&name, [f64::NAN, 0.0, 0.0]);
    page.jobs.send(Job::Ask(1, Ask::Try { id: 8, edits: nowhere.clone() })).unwrap();
    let shown = page.until("tried", |s| s.view.trial == Some(8));
    assert!(!shown.view.problems.is_empty() && near(at(&shown, &name), from));
    assert!(!page.make(nowhere).unwrap_err().is_empty());
    assert!(!page.make(moved("no_such_point", to)).unwrap_err().is_empty());
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), before);
    page.close();
}

#[test]
fn a_change_in_an_editor_is_taken_in_and_one_that_cannot_be_read_loses_nothing() {
    let folder = Folder::new("editor");
    let before = std::fs::read_to_string(folder.design()).unwrap();
    let mut page = Page::open(&folder.design());
    let (name, from) = free(&page.until("shown", |_| true));
    // A comment is a change of the text, too.
    std::fs::write(folder.design(), format!("{before}# by hand\n")).unwrap();
    page.jobs.send(Job::Changed).unwrap();
    page.until("taken in", |s| s.view.undo == 1);
    // Half a table: what was shown stays, and it is told where.
    let broken = format!("{before}[tube.half\n");
    std::fs::write(folder.design(), &broken).unwrap();
    page.jobs.send(Job::Changed).unwrap();
    let shown = page.until("told", |s| matches!(s.view.saved, Saved::Unreadable { .. }));
    let Saved::Unreadable { problems } = &shown.view.saved else { unreachable!() };
    assert_eq!(problems[0].line, Some(before.lines().count() as u32 + 1));
    // The page may not write over it.
    assert!(page.make(moved(&name, [from[0] + 0.001, from[1], from[2]])).is_err());
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), broken);
    // Going back does, and keeps the broken text.
    page.ask(|id| Ask::Undo { id }).unwrap();
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), before);
    page.close();
    let record = build::Record::open(&folder.design().with_extension("record.db")).unwrap();
    assert_eq!(record.drafts().unwrap()[0].text, broken);
}

#[test]
fn two_changes_at_once_both_count_where_they_go_together_and_are_both_kept_where_not() {
    let folder = Folder::new("both");
    let before = std::fs::read_to_string(folder.design()).unwrap();
    let mut page = Page::open(&folder.design());
    let (name, from) = free(&page.until("shown", |_| true));
    let to = [from[0], from[1], from[2] + 0.0127];
    // The editor's change has not been seen yet when the page's comes.
    std::fs::write(folder.design(), format!("# first by hand\n{before}")).unwrap();
    page.make(moved(&name, to)).unwrap();
    let text = std::fs::read_to_string(folder.design()).unwrap();
    assert!(text.starts_with("# first by hand\n"));
    page.until("both", |s| near(at(s, &name), to) && s.view.undo == 2);
    // The editor renames the point that the page moves.
    let renamed =
        text.replace(&format!("\n{name} ="), "\nother_name =").replace(&format!("\"{name}\""), "\"other_name\"");
    let renamed = renamed.replace(&format!("\"{name}~\""), "\"other_name~\"");
    assert_ne!(renamed, text);
    std::fs::write(folder.design(), &renamed).unwrap();
    assert!(page.make(moved(&name, from)).is_err());
    let shown = page.until("told", |s| matches!(s.view.saved, Saved::Conflict { .. }));
    let Saved::Conflict { mine_state, theirs_state, .. } = shown.view.saved.clone() else { unreachable!() };
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), renamed);
    page.ask(|id| Ask::GoTo { id, state: mine_state }).unwrap();
    let mine = std::fs::read_to_string(folder.design()).unwrap();
    assert!(mine.contains(&name) && !mine.contains("other_name"));
    page.ask(|id| Ask::GoTo { id, state: theirs_state }).unwrap();
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), renamed);
    page.close();
}

#[test]
fn two_pages_see_the_same_and_only_the_one_that_tries_sees_its_trial() {
    let folder = Folder::new("pages");
    let mut one = Page::open(&folder.design());
    let mut two = Page::join(&one.jobs, 2);
    let (name, from) = free(&one.until("shown", |_| true));
    two.until("shown", |_| true);
    let to = [from[0], from[1], from[2] + 0.0127];
    one.jobs.send(Job::Ask(1, Ask::Try { id: 3, edits: moved(&name, to) })).unwrap();
    one.until("tried", |s| s.view.trial == Some(3));
    two.make(moved(&name, [from[0], from[1], from[2] - 0.0127])).unwrap();
    for page in [&mut one, &mut two] {
        let shown = page.until("made", |s| s.view.trial.is_none() && s.view.undo == 1);
        assert!(near(at(&shown, &name), [from[0], from[1], from[2] - 0.0127]));
    }
    one.close();
}

#[test]
fn all_of_strength_follows_a_change() {
    let folder = Folder::new("deep");
    let mut page = Page::open(&folder.design());
    let buckles =
        |s: &Shown| s.view.pages.iter().flat_map(|p| &p.tables).any(|t| t.key == "missed" || t.key == "vibration");
    page.until("worked out in full", buckles);
    page.close();
}

#[test]
fn what_was_done_to_a_piece_goes_with_it_to_its_new_name_and_back() {
    let folder = Folder::new("renamed");
    let mut page = Page::open(&folder.design());
    let tube = page.until("shown", |_| true).view.tubes[0].name.clone();
    let (to, from) = tokio::sync::oneshot::channel();
    let tick = app::wire::Tick {
        id: "a".into(),
        piece: tube.clone(),
        operation: build::Operation::Cut,
        done: true,
        who: "Ida".into(),
        at: 1,
    };
    let ask = app::wire::ShopAsk { ticks: vec![tick], ..Default::default() };
    page.jobs.send(Job::Shop(ask, to)).unwrap();
    from.blocking_recv().unwrap().unwrap();
    page.make(vec![Edit::RenameTube { tube: tube.clone(), to: "another_name".into() }]).unwrap();
    let standing = |folder: &Folder| {
        let record = build::Record::open(&folder.design().with_extension("record.db")).unwrap();
        record.standing().unwrap().into_keys().map(|k| k.0).collect::<Vec<_>>()
    };
    assert_eq!(standing(&folder), ["another_name"]);
    page.ask(|id| Ask::Undo { id }).unwrap();
    assert_eq!(standing(&folder), [tube]);
    page.close();
}

#[test]
fn a_long_run_tells_how_far_it_is_and_can_be_stopped() {
    let folder = Folder::new("long");
    // So far that it would go on for long.
    let far = std::fs::read_to_string(folder.design()).unwrap().replace("collapse = 4\n", "collapse = 40\n");
    std::fs::write(folder.design(), far).unwrap();
    let mut page = Page::open(&folder.design());
    page.until("shown", |_| true);
    let send = |page: &Page, ask| page.jobs.send(Job::Ask(page.number, ask)).unwrap();
    send(&page, Ask::Start { run: Run::Collapse });
    let (mut parts, mut stopped) = (Vec::new(), None);
    let why = loop {
        match page.news.blocking_recv().unwrap() {
            Told::Running { run: Run::Collapse, part } => {
                parts.push(part);
                if part > 0.0 && stopped.is_none() {
                    send(&page, Ask::Stop { run: Run::Collapse });
                    stopped = Some(part);
                }
            }
            Told::Ended { run: Run::Collapse, why } => break why,
            _ => {}
        }
    };
    assert_eq!(why.as_deref(), Some("stopped"));
    assert!(parts.windows(2).all(|w| w[0] <= w[1]), "{parts:?}");
    assert!(stopped.is_some_and(|p| p < 0.5), "it was told late, at {stopped:?}");
    // It can be begun again.
    send(&page, Ask::Start { run: Run::Collapse });
    assert!(matches!(page.news.blocking_recv().unwrap(), Told::Running { run: Run::Collapse, .. }));
    page.close();
}

/// What is found against the club's rules.
fn against_the_club(s: &Shown) -> Vec<String> {
    let all = s.view.pages.iter().flat_map(|p| &p.findings);
    all.map(|f| f.what.clone()).filter(|what| what.contains("club.toml") || what.contains("a club's hoops")).collect()
}

#[test]
fn a_rule_set_beside_the_design_is_read_anew_when_it_changes_and_told_when_it_is_gone() {
    let folder = Folder::new("rules");
    let rules = |most: u32| {
        format!(
            "[rules]\nname = \"Club\"\nedition = \"1\"\nwhose = \"the club\"\n\n[role.main_hoop]\nwords = [\"main hoop\"]\n\n\
             [count.hoops]\nclause = \"1\"\nknown = \"own\"\nsays = \"a club's hoops\"\nof = [\"main_hoop\"]\nmost = {most}\n"
        )
    };
    let club = folder.0.join("club.toml");
    std::fs::write(&club, rules(1)).unwrap();
    let text = std::fs::read_to_string(folder.design()).unwrap() + "\n[rules]\nsets = [\"club.toml\"]\n";
    std::fs::write(folder.design(), &text).unwrap();
    let mut page = Page::open(&folder.design());
    // Through the folder's own events, as they come with the program.
    let watching = app::watch::watch(&folder.design(), page.jobs.clone()).unwrap();
    let first = page.until("shown", |_| true);
    assert_eq!(against_the_club(&first), Vec::<String>::new());
    std::fs::write(&club, rules(0)).unwrap();
    let over = page.until("held against the new rules", |s| !against_the_club(s).is_empty());
    assert_eq!((over.view.state, &over.view.saved), (first.view.state, &Saved::Written));
    std::fs::write(&club, "[rules\n").unwrap();
    page.until("told as broken", |s| against_the_club(s).iter().any(|what| what.contains("club.toml")));
    std::fs::write(&club, rules(1)).unwrap();
    page.until("mended", |s| against_the_club(s).is_empty());
    std::fs::remove_file(&club).unwrap();
    page.until("told as gone", |s| against_the_club(s).iter().any(|what| what.contains("club.toml")));
    // The design can be worked on all the while, and is as it was.
    let (name, from) = free(&first);
    page.make(moved(&name, [from[0], from[1], from[2] + 0.001])).unwrap();
    page.ask(|id| Ask::Undo { id }).unwrap();
    assert_eq!(std::fs::read_to_string(folder.design()).unwrap(), text);
    drop(watching);
    page.close();
}
