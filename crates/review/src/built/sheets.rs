//! The frame as built as sheets that terminal, page and packet share.

use std::fmt::Write as _;

use design::measured::Tool;
use fit::{Doubt, Fate, Of, Verdict};
use geometry::DVec3;
use shape::Value;

use super::{Built, Change, Effect};
use crate::Review;
use crate::jigs::Sheet;
use crate::text::{Text, counted};

/// What measuring can't answer for.
pub const CAUTION: &str = "Figures hold for what was measured, with the uncertainty beside them; what is not named was not measured. \
Welds yet to come pull the frame: measure again after them. Check the first piece that is cut anew against the car.";

fn sheet(id: &'static str, title: impl Into<String>, head: &[&str], numbers: &[usize]) -> Sheet {
    Sheet {
        id,
        title: title.into(),
        head: head.iter().map(|h| (*h).to_owned()).collect(),
        numbers: numbers.to_vec(),
        rows: Vec::new(),
        note: String::new(),
    }
}

/// All of it, in the order in which a shop asks: what must be cut anew, what is off, where everything is, what was read, what
/// to measure next.
pub fn sheets(r: &Review, b: &Built, t: &Text) -> Vec<Sheet> {
    let all = [changes(r, b, t), checks(r, b, t), effects(r, b, t), places(b, t), readings(b, t), next(b, t)];
    all.into_iter().filter(|s| !s.rows.is_empty()).collect()
}

/// A length and its 95 %: nothing where it is not known.
fn sure(sigma: Option<f64>, t: &Text) -> String {
    sigma.map_or("-".to_owned(), |s| format!("± {}", t.fine_number(1.96 * s)))
}

/// What a change rests on that is not to be relied on, in words; nothing if there is no doubt.
pub fn rests_on(c: &Change) -> Option<String> {
    c.doubt.as_ref().map(doubt)
}

/// Whether a piece is not to be cut by its figures before its readings are settled.
pub fn unsettled(c: &Change) -> bool {
    matches!(c.doubt, Some(Doubt::Contradicted(_)))
}

/// What a piece rests on that is not to be relied on.
fn doubt(d: &Doubt) -> String {
    match d {
        Doubt::Contradicted(_) => "readings that contradict".to_owned(),
        Doubt::Loose => "a loose point".to_owned(),
        Doubt::Unchecked(list) => format!("{}, which nothing checks", few(list)),
    }
}

/// Up to two of a list, and how many more.
fn few(list: &[String]) -> String {
    match list.len() {
        0..=2 => list.join(", "),
        n => format!("{} and {} more", list[0], n - 1),
    }
}

/// With a sign.
fn signed(m: f64, t: &Text) -> String {
    let s = t.fine_number(m);
    if s == "0" || s.starts_with('-') { s } else { format!("+{s}") }
}

fn changes(r: &Review, b: &Built, t: &Text) -> Sheet {
    let u = t.unit();
    let head = [
        "piece",
        "",
        &format!("long points were {u}"),
        &format!("now {u}"),
        &format!("change {u}"),
        "95 %",
        "start",
        "end",
        "rests on",
    ];
    let mut s = sheet("changes", "Pieces that change", &head, &[2, 3, 4, 5]);
    for c in &b.changes {
        let end = |k: usize| {
            let e = &c.ends[k];
            match (e.changed, e.was == e.now) {
                (false, _) => "as designed".to_owned(),
                (true, true) => format!("{}; line off by {}", e.now, t.fine(e.line)),
                (true, false) => format!("{} → {}", e.was, e.now),
            }
        };
        let state = if c.cut { "cut already" } else { "to cut" };
        let cells = vec![
            c.piece.clone(),
            state.to_owned(),
            t.cut(c.was),
            t.cut(c.now),
            signed(c.longer(), t),
            sure(c.sigma, t),
            end(0),
            end(1),
            c.doubt.as_ref().map_or(String::new(), doubt),
        ];
        s.rows.push((cells, vec![c.piece.clone()]));
        for (k, was, now) in &c.bends {
            let mut cells = vec![String::new(), format!("bend {k}")];
            cells.extend([
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                was.clone(),
                format!("→ {now}"),
                String::new(),
            ]);
            s.rows.push((cells, vec![c.piece.clone()]));
        }
    }
    s.note = format!(
        "Of the pieces that do not stand yet; {} as designed, within the fit-up gap of {} (limits.fit). Lengths over the long points, of bent pieces developed. 95 %: how \
         well the distance between its end points is known, where both were measured. Rests on: what must be settled before it is cut by \
         these figures.",
        if b.unchanged == 1 { "1 more stays".to_owned() } else { format!("{} more stay", b.unchanged) },
        t.fine(r.shape.design.limits.fit)
    );
    s
}

fn checks(r: &Review, b: &Built, t: &Text) -> Sheet {
    let u = t.unit();
    let head = [
        "from",
        "to",
        "along",
        &format!("designed {u}"),
        &format!("built {u}"),
        &format!("off {u}"),
        "95 %",
        &format!("allowed ± {u}"),
        "",
    ];
    let mut s = sheet("checks", "Distances of what stands", &head, &[3, 4, 5, 6, 7]);
    // A tape laid across tells of a piece that remains only where it is over.
    for c in b.fit.checks.iter().filter(|c| c.of != Of::Tape || c.verdict == Verdict::Over) {
        let along = match c.of {
            Of::Tube => c.tube.clone().unwrap_or_default(),
            Of::Width => "the width".to_owned(),
            Of::Tape => "a tape".to_owned(),
        };
        let word = match c.verdict {
            Verdict::Within => "within",
            Verdict::Over => "over",
            Verdict::TooNear => "too near to tell",
            Verdict::NotChecked => "not checked",
            Verdict::Contradicted => "readings contradict",
        };
        let limit = if c.tolerance.is_finite() { t.fine_number(c.tolerance) } else { "-".to_owned() };
        let cells = vec![
            c.between[0].clone(),
            c.between[1].clone(),
            along,
            t.fine_number(c.designed),
            t.fine_number(c.built),
            signed(c.off(), t),
            sure(Some(c.sigma), t),
            limit,
            word.to_owned(),
        ];
        s.rows.push((cells, c.tube.iter().cloned().collect()));
    }
    s.note = format!(
        "Between the crossings of the axes. ISO 13920 class {}, as far as its tables go here. Within or over only where 95 % of what \
         may be true is: else it is too near to tell. Tapes laid \
         elsewhere stand here where they are over.",
        r.shape.design.limits.welded.letter()
    );
    s
}

/// Whether a figure has changed by less than sheets show: by less than a step of its rounding.
fn alike(r: &Review, e: &Effect) -> bool {
    let limits = &r.shape.design.limits;
    match (e.designed, e.built) {
        (Some(Value::Length(a)), Some(Value::Length(b))) => (a - b).abs() < limits.round,
        (Some(Value::Angle(a)), Some(Value::Angle(b))) => (a - b).abs() < limits.round_angle,
        _ => false,
    }
}

fn effects(r: &Review, b: &Built, t: &Text) -> Sheet {
    let mut s = sheet("effects", "What else reads differently", &["what", "designed", "as built"], &[1, 2]);
    let shown = |v: Option<shape::Value>| v.map_or("-".to_owned(), |v| t.shown(v));
    for e in &b.effects {
        let (was, now) = (shown(e.designed), shown(e.built));
        if was != now && !alike(r, e) {
            s.rows.push((vec![e.what.clone(), was, now], Vec::new()));
        }
    }
    let same = b.effects.len() - s.rows.len();
    s.note = format!(
        "Clearances, room, ways out and going over of the frame as built, what remains as designed. {} alike within a step of rounding.",
        counted(same, "figure")
    );
    s
}

fn places(b: &Built, t: &Text) -> Sheet {
    let u = t.unit();
    let head = [
        "point",
        &format!("forward {u}"),
        &format!("left {u}"),
        &format!("up {u}"),
        &format!("in all {u}"),
        "95 %",
        "readings",
        "",
    ];
    let mut s = sheet("off", "How far each point is from its designed place", &head, &[1, 2, 3, 4, 5, 6]);
    for p in &b.fit.places {
        let d = p.shift();
        let word = match p {
            p if !p.loose.is_empty() => format!("not measured {}", ways(&p.loose)),
            p if p.ambiguous => "could be on the other side".to_owned(),
            p if p.weak => "hardly known".to_owned(),
            p => b
                .beside
                .iter()
                .find(|x| x.point == p.name)
                .map_or(String::new(), |x| format!("{} beside {}", t.fine(x.by), x.tube)),
        };
        let cells = vec![
            p.name.clone(),
            signed(d.x, t),
            signed(d.y, t),
            signed(d.z, t),
            t.fine_number(d.length()),
            if p.loose.is_empty() { format!("± {}", t.fine_number(p.ellipsoid.semi[0])) } else { "-".to_owned() },
            p.readings.to_string(),
            word,
        ];
        s.rows.push((cells, Vec::new()));
    }
    let open = b.fit.open_slides + b.fit.open_turns;
    s.note = match open {
        0 => "In the design's axes, in which what is held and measured places it. ".to_owned(),
        _ => "In the design's axes; nothing fixes the whole in all of them, so it is laid on the design as well as it goes. ".to_owned(),
    } + "95 %: in the direction that is known least. Beside a tube: so far from its axis, as far as its form could not be brought to pass it.";
    s
}

/// Directions in words, by the axis each is nearest to.
fn ways(list: &[DVec3]) -> String {
    let word = |d: &DVec3| {
        let a = d.abs();
        match () {
            () if a.x >= a.y && a.x >= a.z => "fore and aft",
            () if a.y >= a.z => "sideways",
            () => "up and down",
        }
    };
    let mut out: Vec<&str> = list.iter().map(word).collect();
    out.dedup();
    out.join(", ")
}

fn readings(b: &Built, t: &Text) -> Sheet {
    let head = ["reading", "at", "reads", "designed, as it stands", "fits at", "left", "w", "checked", ""];
    let mut s = sheet("readings", "What was read", &head, &[2, 3, 4, 5, 6, 7]);
    // As they stand in the sheet, in its own units.
    let own = t.in_units(b.measured.units);
    for x in &b.fit.readings {
        let show = |v: f64| match () {
            () if !v.is_finite() => "-".to_owned(),
            () if x.tool.is_angle() => format!("{:.2}°", v.to_degrees()),
            () => own.fine(v),
        };
        let way = match x.tool {
            Tool::LevelTape => ", level",
            Tool::PlumbX => ", fore-aft",
            Tool::PlumbY => ", sideways",
            _ => "",
        };
        let left = x.adjusted.map(|a| x.reads - a);
        let word = match x.fate {
            Fate::Agrees => "",
            Fate::Unchecked => "nothing checks it",
            Fate::Wrong => "wrong, left out",
            Fate::Contradicts => "contradicts others",
            Fate::LeftOut => "left out by you",
            Fate::Unusable => "not used",
        };
        let cells = vec![
            format!("{}{way}", x.title),
            x.at.join(" to "),
            show(x.reads),
            show(x.designed),
            x.adjusted.map_or("-".to_owned(), show),
            left.map_or("-".to_owned(), show),
            x.w.map_or("-".to_owned(), |w| format!("{w:.1}")),
            if matches!(x.fate, Fate::LeftOut | Fate::Unusable) {
                "-".to_owned()
            } else {
                format!("{:.0} %", 100.0 * x.redundancy)
            },
            word.to_owned(),
        ];
        s.rows.push((cells, Vec::new()));
    }
    s.note = "Designed, as it stands: what it would read on the frame as designed, tilted and set as high as this one was found. Left: what was read less what fits. w: that over its own standard deviation; beyond 3.3 either way it is found wrong \
              (once in a thousand by chance). Checked: how far the others check it."
        .to_owned();
    if let Some([factor, low, high]) = b.fit.factor {
        _ = write!(
            s.note,
            " All together they are off by {:.2} of what they are said to be good for ({:.2} to {:.2} is usual); {} more than needed.",
            factor.sqrt(),
            low.sqrt(),
            high.sqrt(),
            counted(b.fit.freedom, "reading")
        );
    }
    s
}

fn next(b: &Built, t: &Text) -> Sheet {
    let u = t.unit();
    let head = ["from", "to", &format!("should read about {u}"), "known to", "places known to", "then to"];
    let mut s = sheet("next", "What one more tape distance would tell", &head, &[2, 3, 4, 5]);
    let known = |s: Option<f64>| s.map_or("not known".to_owned(), |s| format!("± {}", t.fine_number(1.96 * s)));
    for n in &b.fit.next {
        let cells = vec![
            n.between[0].clone(),
            n.between[1].clone(),
            t.fine_number(n.length),
            known(n.known),
            known(n.before),
            n.after.map_or("ties down what is loose".to_owned(), |a| known(Some(a))),
        ];
        s.rows.push((cells, Vec::new()));
    }
    s.note = "The most telling first. Places: the mean of those at which pieces that remain will sit.".to_owned();
    s
}

/// How things stand in a sentence or two.
pub fn lead(b: &Built) -> String {
    let fates = |f: Fate| b.fit.readings.iter().filter(|r| r.fate == f).count();
    let used = b.fit.readings.len() - fates(Fate::LeftOut) - fates(Fate::Unusable) - fates(Fate::Wrong);
    let mut s = format!(
        "{} {} {} with {} more than needed; {} {}.",
        counted(used, "reading"),
        if used == 1 { "places" } else { "place" },
        counted(b.fit.places.len(), "point"),
        b.fit.freedom,
        counted(b.fit.standing.len(), "tube"),
        if b.fit.standing.len() == 1 { "stands" } else { "stand" }
    );
    let to_cut = b.changes.iter().filter(|c| !c.cut).count();
    if to_cut > 0 {
        s += &format!(" {} to be cut otherwise than designed.", counted(to_cut, "piece"));
    }
    s
}
