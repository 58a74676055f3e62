//! An edge that comes over the nose: the way it takes at each place across the car, and how it ends.

use glam::DVec2;
use review::{Review, Text};
use rollover::under_run::{Met, UnderRun, UnderRunEnd};

use super::super::layout::{BODY, SMALL, Sheets};
use super::super::page::{Anchor, Ink, Page, Pen};
use super::super::stance::ground::{self, Car};
use super::super::views::{self, Place};

/// Pictures side by side.
const ACROSS: usize = 2;
/// Greatest height of a picture, mm.
const HIGH: f64 = 46.0;
/// Room for the start heights before the car, mm.
const BEFORE: f64 = 15.0;
/// Way shown ahead of the car, m.
const AHEAD: f64 = 0.2;
/// Room under the ground for its hatch, mm.
const BELOW: f64 = 2.0;
/// Start heights nearer than this on paper are not all written, mm.
const APART: f64 = 3.0;

/// Most lines of words under a picture.
const LINES: usize = 7;

const WAY: Pen = Pen::new(Ink::Black, 0.4);

/// The sheets; in plain words why there are none.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text, ways: Option<&Result<Vec<UnderRun>, String>>) {
    let car = (0..r.stance.stances.len()).filter_map(|k| Car::new(r, k)).find(|c| !c.stood.wheels.is_empty());
    let (ways, car) = match (ways, car) {
        (Some(Ok(ways)), Some(car)) if !ways.is_empty() => (ways, car),
        (Some(Err(why)), _) => return none(s, why),
        (None, _) => return none(s, "rollover.edge asks for no heights"),
        _ => return none(s, "it stands on no wheels"),
    };
    s.start(super::TITLE);
    s.heading("An edge over the nose");
    let text = format!(
        "The edge of a trailer, a plank or a rail comes from the left at several heights over the ground ({}), over the car in its \
         stance {}, wheels as drawn. It keeps its height unless it is led upward, and catches where it would stick by friction. Bold: tubes \
         that it meets. A cross in a circle: it catches; a triangle: it comes into somebody's room; a blue dot: where it is nearest to a \
         helmet. Slopes are the steepest on the way.",
        t.unit(),
        car.stood.name
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    // In the order of the answer: one group for each place across.
    let mut groups: Vec<Vec<&UnderRun>> = Vec::new();
    for w in ways {
        match groups.last_mut().filter(|g| g[0].lateral == w.lateral) {
            // Asked for one height alone, all are the same.
            Some(g) if g.iter().any(|o| o.height == w.height) => {}
            Some(g) => g.push(w),
            None => groups.push(vec![w]),
        }
    }
    let lines = groups.iter().map(|g| runs(g).len().min(LINES)).max().unwrap_or(1) as f64;
    let words = lines * SMALL * 1.4 + 4.0;
    let width = (s.width() - 6.0) / ACROSS as f64;
    let box_of = bounds(&car, ways);
    let span = (box_of.1 - box_of.0).max(DVec2::splat(1e-3));
    let high = (span.y * ((width - BEFORE) / span.x)).min(HIGH) + BODY * 1.6 + BELOW;
    s.y += 2.0;
    for row in groups.chunks(ACROSS) {
        s.need(high + words);
        let y = s.y;
        for (column, group) in row.iter().enumerate() {
            let at = DVec2::new(s.left() + (width + 6.0) * column as f64, y);
            panel(s, &car, t, group, box_of, at, DVec2::new(width, high));
        }
        s.y = y + high + words;
    }
}

fn none(s: &mut Sheets, why: &str) {
    s.need(16.0);
    s.heading("An edge over the nose");
    s.paragraph(&format!("Not worked out: {why}."), BODY, Ink::Black);
}

/// The car and the highest way, which may pass over everything; least and greatest place on the page, m.
fn bounds(car: &Car, ways: &[UnderRun]) -> (DVec2, DVec2) {
    let view = car.side();
    let (lo, hi) = car.bounds(&view);
    let top = ways.iter().flat_map(|w| &w.outline).map(|p| view.flat(*p).y).fold(lo.y, f64::min);
    (DVec2::new(lo.x - AHEAD, top), hi)
}

fn panel(s: &mut Sheets, car: &Car, t: &Text, ways: &[&UnderRun], box_of: (DVec2, DVec2), at: DVec2, size: DVec2) {
    let box_at = at + DVec2::new(BEFORE, BODY * 1.6);
    let room = size - DVec2::new(BEFORE, BODY * 1.6 + BELOW);
    let place = views::fit(box_of, car.side(), box_at, room, false);
    let head = match ways[0].lateral {
        None => "across its whole width".to_owned(),
        Some(y) if y.abs() < 1e-9 => "in the middle".to_owned(),
        Some(y) => format!("{} to the {}", t.length_unit(y.abs()), if y > 0.0 { "left" } else { "right" }),
    };
    s.page().text(at.x, at.y + BODY, BODY, head).bold();
    let (left, right) = (at.x + BEFORE, at.x + size.x);
    views::sketch(s.page(), car.r, &place, Pen::new(Ink::Pale, 0.2));
    for w in &car.stood.wheels {
        let c = car.r.shape.bodies[w.body].centre;
        s.page().circle(place.put(c), w.radius * place.scale, None, Some(Pen::new(Ink::Pale, 0.2)));
    }
    car.riders(s.page(), &place, Pen::new(Ink::Pale, 0.25));
    for w in ways {
        for m in &w.met {
            if let Some(i) = car.r.shape.tubes.iter().position(|t| t.name == m.body) {
                let line = views::centreline(car.r, i, &place);
                s.page().line(line, Pen::new(Ink::Grey, 0.7));
            }
        }
    }
    ground::ground(s.page(), ground::level(&place, &car.ground), left, right);
    let mut written = f64::INFINITY;
    let mut sorted: Vec<&&UnderRun> = ways.iter().collect();
    sorted.sort_by(|a, b| a.height.total_cmp(&b.height));
    for w in sorted {
        way(s, &place, w, left, right);
        let Some(first) = w.outline.first() else { continue };
        let y = place.put(*first).y;
        if written - y > APART {
            written = y;
            s.page().text(left - 1.5, y + 0.9, SMALL, t.length(w.height)).ink(Ink::Grey).anchor(Anchor::Right);
        }
    }
    let mut y = at.y + size.y + 0.6;
    for run in runs(ways).iter().rev().take(LINES) {
        y += SMALL * 1.4;
        let hurts = matches!(run[0].end, UnderRunEnd::Catches(_)) || run[0].meets.is_some();
        let line = s.faces[0].fit(&told(run, t), SMALL, size.x);
        s.page().text(at.x, y, SMALL, line).ink(if hurts { Ink::Alarm } else { Ink::Black });
    }
}

/// Ways one over the other that end alike, from the lowest.
fn runs<'a>(ways: &[&'a UnderRun]) -> Vec<Vec<&'a UnderRun>> {
    let same = |a: &UnderRun, b: &UnderRun| {
        let ends = match (&a.end, &b.end) {
            (UnderRunEnd::Passes, UnderRunEnd::Passes) => true,
            (UnderRunEnd::Catches(m), UnderRunEnd::Catches(n)) => m.body == n.body,
            _ => false,
        };
        ends && a.meets.as_ref().map(|m| &m.room) == b.meets.as_ref().map(|m| &m.room)
    };
    let mut sorted = ways.to_vec();
    sorted.sort_by(|a, b| a.height.total_cmp(&b.height));
    let mut out: Vec<Vec<&UnderRun>> = Vec::new();
    for w in sorted {
        match out.last_mut().filter(|r| same(r[0], w)) {
            Some(run) => run.push(w),
            None => out.push(vec![w]),
        }
    }
    out
}

/// Ways that end alike, in words: the steepest slope, the farthest way up, the least gap of them.
fn told(run: &[&UnderRun], t: &Text) -> String {
    let (first, last) = (run[0], run[run.len() - 1]);
    let heights = match run {
        [one] => t.length(one.height),
        _ => format!("{} to {}", t.length(first.height), t.length(last.height)),
    };
    let caught = run.iter().filter_map(|w| match &w.end {
        UnderRunEnd::Catches(m) => Some(m),
        UnderRunEnd::Passes => None,
    });
    let steepest = |a: &&Met, b: &&Met| a.slope.total_cmp(&b.slope);
    let mut out = match (caught.max_by(steepest), run.iter().filter_map(|w| w.steepest.as_ref()).max_by(steepest)) {
        (Some(m), _) => format!("{heights}: catches on {} ({})", m.body, t.angle(m.slope)),
        (None, Some(m)) => format!("{heights}: passes ({} on {})", t.angle(m.slope), m.body),
        (None, None) => format!("{heights}: passes"),
    };
    let up = run.iter().map(|w| w.led_up).fold(0.0, f64::max);
    if up > 1e-6 {
        out += &format!(", up {}", t.length(up));
    }
    let gap = run.iter().filter_map(|w| w.helmet.as_ref()).map(|h| h.gap).reduce(f64::min);
    match (&first.meets, gap) {
        (Some(m), _) => out += &format!(", meets {}", m.room),
        (None, Some(gap)) if matches!(first.end, UnderRunEnd::Passes) => {
            out += &format!(", {} from a helmet", t.length_unit(gap));
        }
        _ => {}
    }
    out
}

/// The way of the edge, with its marks.
fn way(s: &mut Sheets, place: &Place, w: &UnderRun, left: f64, right: f64) {
    let line: Vec<DVec2> =
        w.outline.iter().map(|p| place.put(*p)).map(|p| DVec2::new(p.x.clamp(left, right), p.y)).collect();
    s.page().line(line, WAY);
    if let UnderRunEnd::Catches(_) = &w.end
        && let Some(p) = w.outline.last()
    {
        cross(s.page(), place.put(*p));
    }
    if let Some(m) = &w.meets {
        let p = place.put(m.at);
        let corners = [DVec2::new(0.0, -1.7), DVec2::new(1.5, 1.0), DVec2::new(-1.5, 1.0)].map(|d| p + d);
        s.page().area(corners, Some(Ink::Alarm), None);
    } else if let Some(h) = &w.helmet
        && matches!(w.end, UnderRunEnd::Passes)
    {
        s.page().circle(place.put(h.at), 0.9, Some(Ink::Accent), None);
    }
}

/// Where it catches: a cross in a circle, so that it is seen without its colour too.
pub fn cross(page: &mut Page, at: DVec2) {
    let pen = Pen::new(Ink::Alarm, 0.45);
    page.circle(at, 1.9, Some(Ink::Paper), Some(pen));
    for d in [DVec2::ONE, DVec2::new(1.0, -1.0)] {
        page.line([at - d * 1.35, at + d * 1.35], pen);
    }
}
