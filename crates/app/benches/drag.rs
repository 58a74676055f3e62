//! From a dragged point to what the page is sent: `cargo bench -p app`. The demo, two cores.

use std::path::PathBuf;
use std::sync::Arc;

use app::keeper::{Client, Job, open};
use app::view;
use app::wire::{Ask, Saved, SheetHead};
use design::{Document, Edit};
use divan::{Bencher, black_box};
use tokio::sync::{mpsc, watch};

const TEXT: &str = include_str!("../../../examples/gorse.toml");

fn point(k: u32) -> Vec<Edit> {
    let at = [1.09 + 1e-4 * f64::from(k % 50), 0.3, 0.0];
    vec![Edit::SetPoint { point: "rail_kink_front_in".into(), at }]
}

/// A trial, from the ask to the view that is ready to be sent.
#[divan::bench]
fn a_dragged_point(b: Bencher) {
    let folder = std::env::temp_dir().join(format!("tubewright-drag-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let path: PathBuf = folder.join("gorse.toml");
    std::fs::write(&path, TEXT).expect("a file");
    let (jobs, work, _) = open(&path).expect("the demo opens");
    std::thread::spawn(work);
    let (views, mut view) = watch::channel(None);
    let (news, _told) = mpsc::unbounded_channel();
    jobs.send(Job::Join(1, Client { views, news })).expect("the keeper works");
    let mut k = 0;
    b.bench_local(|| {
        k += 1;
        jobs.send(Job::Ask(1, Ask::Try { id: k, edits: point(k) })).expect("the keeper works");
        loop {
            if view.borrow_and_update().as_ref().is_some_and(|s| s.view.trial == Some(k)) {
                break;
            }
            std::thread::yield_now();
        }
    });
    let _ = jobs.send(Job::End);
    let _ = std::fs::remove_dir_all(&folder);
}

fn review() -> (Document, review::Review) {
    let doc = Document::open(TEXT).expect("the demo reads");
    let r = review::review(Arc::new(doc.design().clone()), cutting::Detail::LIVE).expect("the demo resolves");
    (doc, r)
}

#[divan::bench]
fn edit_of_the_text(b: Bencher) {
    let (doc, _) = review();
    b.bench(|| {
        let mut d = doc.clone();
        for e in point(3) {
            let _ = d.apply(&e);
        }
        d
    });
}

#[divan::bench]
fn whole_review(b: Bencher) {
    let (doc, _) = review();
    b.bench(|| review::review(Arc::new(doc.design().clone()), cutting::Detail::LIVE));
}

#[divan::bench]
fn meshes(b: Bencher) {
    let (_, r) = review();
    b.bench(|| view::meshes(black_box(&r)));
}

fn standing() -> view::Standing {
    view::Standing {
        state: 1,
        trial: None,
        file: String::new(),
        saved: Saved::Written,
        steps: [0, 0],
        undo_what: String::new(),
        problems: Vec::new(),
        sheet: SheetHead::default(),
        before: None,
    }
}

#[divan::bench]
fn words(b: Bencher) {
    let (_, r) = review();
    let bodies = view::meshes(&r);
    b.bench(|| view::view(&r, &bodies, standing()));
}

#[divan::bench]
fn words_as_json(b: Bencher) {
    let (_, r) = review();
    let bodies = view::meshes(&r);
    let v = view::view(&r, &bodies, standing());
    b.bench(|| serde_json::to_vec(&v).map(|v| v.len()));
}

fn main() {
    divan::main();
}
