//! Jigs: what the design asks for, and the answer as sheets that terminal, page and packet share.

use std::sync::Arc;

use ::jigs::setup::{Across, Reading, Spot};
use ::jigs::stands::{From, Scrap, Wanted};
use ::jigs::world::Face;
use ::jigs::{Answer, Ask, CutBack, StandsAsk, Support, World};
use geometry::DVec3;
use shape::{End, Finding, Level};

use crate::{Review, Text};

/// What a jig can't answer for.
pub const CAUTION: &str = "Stands are not checked for strength: nobody works under a frame that only they hold. Printed holders \
hold a tube for a tack and come off before the weld is run. Weld shrinkage is not in these figures: tack, measure, weld.";

/// A table of an answer: its name, headings, rows with the tubes that each is of, and a remark.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// For links: `stands`.
    pub id: &'static str,
    /// What stands over it.
    pub title: String,
    /// Headings.
    pub head: Vec<String>,
    /// Columns that hold numbers.
    pub numbers: Vec<usize>,
    /// Cells of each row, and the tubes that it is of.
    pub rows: Vec<(Vec<String>, Vec<String>)>,
    /// How to read it.
    pub note: String,
}

/// Works out the jigs: on the stands of the first stance that has any.
pub fn jigs(r: &Review) -> Answer {
    let (design, shape) = (&r.shape.design, &r.shape);
    let cut_back = r
        .cutting
        .pieces
        .iter()
        .flat_map(|p| End::BOTH.map(|end| CutBack { tube: p.tube, end, by: -p.end(end).profile.short }));
    let mut ask = Ask { cut_back: cut_back.collect(), ..Ask::default() };
    if let Some(stance) = design.stances.iter().find(|s| !s.stands.is_empty()) {
        let stood = r.stance.stances.iter().find(|s| s.name == stance.name);
        let ground = stood.and_then(|s| s.ground.as_ref());
        let world = ground.map_or(World::SQUARE, |g| World { up: g.normal, floor: Some(g.height) });
        ask.world = ground.map(|_| world);
        let supports = stance.stands.iter().map(|s| Support {
            under: design.tube_name(&s.under),
            x: s.x,
            wanted: if s.top { Wanted::Top(s.height) } else { Wanted::Underside(s.height) },
            from: From::Floor,
            shim: s.shim,
            foot: s.foot,
            floor: s.floor,
        });
        let of = |section: &str| {
            stance.stands.iter().any(|s| s.section.is_some_and(|id| design.sections[id.0].name == section))
        };
        let scrap = scrap(r, &of);
        let datum = DVec3::new(0.0, 0.0, shape.datum);
        let mut wanted = StandsAsk {
            supports: supports.collect(),
            datum_over_floor: 0.0,
            world,
            scrap,
            kerf: design.rack.kerf,
            centre: stood.map(|s| s.mass.centre),
        };
        wanted.datum_over_floor = ground.map_or_else(|| mean_datum(r, &wanted), |g| g.over(datum));
        ask.stands = Some(wanted);
    }
    ::jigs::jigs(shape, &ask, |l| crate::built::tolerance_of(design, l))
}

/// How a stick is called that no piece is cut from.
const WHOLE: &str = "a whole";

/// What stands may be cut from: what the cutting plan leaves of the sticks that are here, so that they take nothing that a
/// piece needs. Whole sticks and old offcuts are there at once; what is left of a stick, when its pieces are cut.
fn scrap(r: &Review, of: &dyn Fn(&str) -> bool) -> Vec<Scrap> {
    let t = Text::new(&r.shape.design);
    let here = |kind: usize| !r.steel.sticks[kind].on_order && r.steel.sticks[kind].count.is_some();
    let whole = r.stock.rack.iter().filter(|k| of(&k.section) && here(k.kind)).flat_map(|k| {
        let place = k.place.as_deref().unwrap_or("rack");
        let name = format!("{WHOLE} {} of {}, {place}", t.length_unit(k.length), k.section);
        std::iter::repeat_n(Scrap { name, length: k.length }, k.left)
    });
    let cut = r.stock.sections.iter().filter(|s| of(&s.section)).flat_map(|s| &s.sticks);
    let left = cut.filter(|k| here(k.kind) && !k.cuts.is_empty() && k.offcut > 0.0);
    let left = left.map(|k| Scrap { name: format!("left of {}, once it is cut", k.mark), length: k.offcut });
    whole.chain(left).collect()
}

/// Height of the datum over the floor where stands do not hold the frame, so that no ground follows from them: as the
/// stands have it on average.
fn mean_datum(r: &Review, wanted: &StandsAsk) -> f64 {
    let stands = ::jigs::stands::stands(&r.shape, wanted).stands;
    let over = stands.iter().map(|s| s.over_floor - (s.at.z - r.shape.datum));
    if stands.is_empty() { 0.0 } else { over.sum::<f64>() / stands.len() as f64 }
}

/// The review's own, or worked out now.
pub fn of(r: &Review) -> Arc<Answer> {
    r.jigs.clone().unwrap_or_else(|| Arc::new(jigs(r)))
}

/// All of it as sheets, in the order of the work.
pub fn sheets(r: &Review, a: &Answer, t: &Text) -> Vec<Sheet> {
    let mut out = Vec::new();
    out.extend(stands(r, a, t));
    out.push(fitting(a, t));
    out.push(readings(a, t));
    out.extend(bevels(a, t));
    out.extend(panels(r, a, t));
    out.extend(temporary(a, t));
    out.extend(saddles(a, t));
    out.extend(no_saddles(a));
    out
}

fn strings<const N: usize>(list: [&str; N]) -> Vec<String> {
    list.map(str::to_owned).to_vec()
}

fn stands(r: &Review, a: &Answer, t: &Text) -> Option<Sheet> {
    let s = a.stands.as_ref()?;
    let stance = r.shape.design.stances.iter().find(|s| !s.stands.is_empty())?;
    let u = t.unit();
    let rows = s.stands.iter().map(|x| {
        let top = match x.falls {
            Some(end) if t.angle(x.top) != t.angle(0.0) => {
                format!("{} lower towards its {}", t.angle(x.top), end.word())
            }
            _ => "square".to_owned(),
        };
        let top = if t.angle(x.roll) == t.angle(0.0) { top } else { format!("{top}, {} across", t.handed(x.roll)) };
        let cells = vec![
            x.under.clone(),
            t.length(x.at.x),
            t.cut(x.length),
            top,
            t.length(x.over_floor),
            t.length(x.over_datum),
            t.length(x.depth),
            x.scrap.clone().unwrap_or_else(|| "-".to_owned()),
        ];
        (cells, vec![x.under.clone()])
    });
    let head = [
        "under".to_owned(),
        format!("at x {u}"),
        format!("cut to {u}"),
        "top".to_owned(),
        format!("underside over level {u}"),
        format!("over datum {u}"),
        format!("tube's depth {u}"),
        "from".to_owned(),
    ];
    let mut note =
        "The length is over the middle of its top, without foot plate and shim. Set the others by their height over \
                    the datum: that does not know the floor. \
                    They come from what the cutting plan leaves over."
            .to_owned();
    if let Some(m) = s.margin {
        let side = if m < 0.0 { "outside" } else { "inside" };
        note += &format!(" The centre of gravity is {} {side} the stands.", t.length_unit(m.abs()));
    }
    if s.stands.iter().any(|x| x.scrap.as_ref().is_some_and(|name| name.starts_with(WHOLE))) {
        note += " The cutting plan knows nothing of stands: it still counts a whole stick that one is cut from as left in the rack.";
    }
    Some(Sheet {
        id: "stands",
        title: format!("Stands of {}", stance.name),
        head: head.to_vec(),
        numbers: vec![1, 2, 4, 5, 6],
        rows: rows.collect(),
        note,
    })
}

/// A place: forward, to the left, over the datum.
fn place(s: &Spot, t: &Text) -> [String; 3] {
    [t.length(s.x), t.length(s.y), t.length(s.height)]
}

fn fitting(a: &Answer, t: &Text) -> Sheet {
    let u = t.unit();
    let mut rows = Vec::new();
    for x in &a.tubes {
        for e in &x.ends {
            let mut cells =
                vec![if e.end == End::Start { x.name.clone() } else { String::new() }, e.end.word().to_owned()];
            cells.extend(place(&e.axis, t));
            let touch = |s: &Option<Spot>| s.as_ref().map_or("-".to_owned(), |s| t.length(s.height));
            cells.extend([t.length(e.back), touch(&e.top), touch(&e.underside)]);
            rows.push((cells, vec![x.name.clone()]));
        }
    }
    let head = [
        "tube".to_owned(),
        "end".to_owned(),
        format!("x {u}"),
        format!("y {u}"),
        format!("height {u}"),
        format!("back by {u}"),
        format!("top there {u}"),
        format!("underside there {u}"),
    ];
    Sheet {
        id: "places",
        title: "Where both ends of each tube are, as it is fitted".to_owned(),
        head: head.to_vec(),
        numbers: vec![2, 3, 4, 5, 6, 7],
        rows,
        note: "x forward, y to the left of the centre plane, heights over the datum: of the end point on the axis, and of top and \
               underside where the whole tube begins, so far back along it; \
               a dash: it stands too steep, or that place lies beyond the cut."
            .to_owned(),
    }
}

fn reading(x: &Reading, t: &Text) -> [String; 2] {
    let along = match x.along.higher {
        Some(end) => format!("{}, {} higher", t.angle(x.along.rise.abs()), end.word()),
        None => "level".to_owned(),
    };
    let across = match &x.across {
        Across::Box { face, roll, .. } => format!("{} on the {} face", t.handed(*roll), face_word(*face)),
        Across::Round { scribe } => format!("scribe {}", t.handed(*scribe)),
        Across::Upright { facing } => format!("scribe faces {}", left(*facing, t)),
    };
    [along, across]
}

fn face_word(f: Face) -> &'static str {
    match f {
        Face::Scribe => "scribe",
        Face::Right => "right",
        Face::Opposite => "opposite",
        Face::Left => "left",
    }
}

fn left(angle: f64, t: &Text) -> String {
    if t.angle(angle) == t.angle(0.0) {
        "forward".to_owned()
    } else {
        format!("{} {} of forward", t.angle(angle.abs()), if angle > 0.0 { "left" } else { "right" })
    }
}

fn readings(a: &Answer, t: &Text) -> Sheet {
    let plumb = a.tubes.iter().flat_map(|x| &x.legs).any(|l| l.plumb.is_some());
    let mut rows = Vec::new();
    for x in &a.tubes {
        for (k, leg) in x.legs.iter().enumerate() {
            let which = if x.legs.len() > 1 { (k + 1).to_string() } else { String::new() };
            let mut cells = vec![if k == 0 { x.name.clone() } else { String::new() }, which];
            cells.extend(reading(&leg.square, t));
            if plumb {
                cells.extend(leg.plumb.as_ref().map_or_else(Default::default, |p| reading(p, t)));
            }
            rows.push((cells, vec![x.name.clone()]));
        }
    }
    let mut head = strings(["tube", "leg", "along", "across"]);
    if plumb {
        head = strings(["tube", "leg", "along, to the frame", "across, to the frame", "along, plumb", "across, plumb"]);
    }
    Sheet {
        id: "readings",
        title: "What the angle finder shows".to_owned(),
        head,
        numbers: Vec::new(),
        rows,
        note: "Along: from level, and which end is the higher. Across: cw is clockwise looking from start to end; held the other way \
               round it is anticlockwise by as much. Of a round tube it is the scribe line's turn from the top."
            .to_owned(),
    }
}

fn bevels(a: &Answer, t: &Text) -> Option<Sheet> {
    if a.bevels.is_empty() {
        return None;
    }
    let rows = a.bevels.iter().map(|b| {
        // What reads as a right angle leans nowhere.
        let toward = b.toward.filter(|_| t.angle(b.acute) != t.angle(b.supplement));
        let way = toward.map_or_else(|| "square".to_owned(), |end| format!("leans to its {}", end.word()));
        let apart = if t.length(b.apart) == t.length(0.0) { String::new() } else { t.length(b.apart) };
        let cells =
            vec![b.joint.clone(), b.tube.clone(), b.other.clone(), t.angle(b.acute), t.angle(b.supplement), way, apart];
        (cells, vec![b.tube.clone(), b.other.clone()])
    });
    let apart = format!("axes apart {}", t.unit());
    Some(Sheet {
        id: "bevels",
        title: "Bevel gauge at each joint".to_owned(),
        head: ["at", "blade on", "stock on", "angle", "other side", "blade", &apart].map(str::to_owned).to_vec(),
        numbers: vec![3, 4, 6],
        rows: rows.collect(),
        note: "The stock along one tube, the blade along the other: which end of the stock's tube the blade leans to."
            .to_owned(),
    })
}

fn panels(r: &Review, a: &Answer, t: &Text) -> Option<Sheet> {
    if a.panels.is_empty() {
        return None;
    }
    let mut rows = Vec::new();
    let limit = |x: f64| if x.is_finite() { t.fine_number(x) } else { "-".to_owned() };
    for p in &a.panels {
        for (k, d) in p.diagonals.iter().enumerate() {
            let by = p.difference.filter(|_| k == 0).map_or(String::new(), |x| t.fine_number(x));
            let cells = vec![
                if k == 0 { p.corners.join(", ") } else { String::new() },
                d.joints.join(" to "),
                t.length(d.marks),
                t.length(d.centres),
                limit(d.tolerance),
                by,
                p.difference_tolerance.filter(|_| k == 0).map_or(String::new(), limit),
            ];
            rows.push((cells, p.tubes.clone()));
        }
    }
    let u = t.unit();
    let head = [
        "panel".to_owned(),
        "from corner to corner".to_owned(),
        format!("between marks {u}"),
        format!("between centres {u}"),
        format!("± {u}"),
        format!("first less second {u}"),
        format!("± {u}"),
    ];
    let class = r.shape.design.limits.welded.letter();
    Some(Sheet {
        id: "panels",
        title: "Diagonals of closed panels".to_owned(),
        head: head.to_vec(),
        numbers: vec![2, 3, 4, 5, 6],
        rows,
        note: format!(
            "A mark is on the tube's outside face, straight over the crossing of the axes. Tolerances: ISO 13920 class {class} for \
             each diagonal; for their difference the sum of both."
        ),
    })
}

fn temporary(a: &Answer, t: &Text) -> Option<Sheet> {
    if a.temporary.is_empty() {
        return None;
    }
    let rows = a.temporary.iter().map(|x| {
        let on = |k: usize| if x.on[k].is_empty() { "nothing".to_owned() } else { x.on[k].join(", ") };
        let cells = vec![
            x.tube.clone(),
            format!("{} and {}", on(0), on(1)),
            t.length(x.holds),
            x.way.to_owned(),
            x.after.clone(),
        ];
        (cells, vec![x.tube.clone()])
    });
    let holds = format!("holds {}", t.unit());
    Some(Sheet {
        id: "temporary",
        title: "To be cut out again".to_owned(),
        head: ["tube", "between", &holds, "of", "out after"].map(str::to_owned).to_vec(),
        numbers: vec![2],
        rows: rows.collect(),
        note: String::new(),
    })
}

/// Ends that no saddle fits: notes of the answer, best read as a list.
fn no_saddles(a: &Answer) -> Option<Sheet> {
    let rows: Vec<_> =
        a.findings.iter().filter(|f| f.level == Level::Note).map(|f| (vec![f.what.clone()], f.tubes.clone())).collect();
    if rows.is_empty() {
        return None;
    }
    let (title, note) = ("What is left to a clamp and a hand".to_owned(), String::new());
    Some(Sheet { id: "without", title, head: strings(["why"]), numbers: Vec::new(), rows, note })
}

/// What must be said first: all but notes, which stand in their own sheet.
pub fn findings(a: &Answer) -> impl Iterator<Item = &Finding> {
    a.findings.iter().filter(|f| f.level != Level::Note)
}

fn saddles(a: &Answer, t: &Text) -> Option<Sheet> {
    if a.saddles.is_empty() {
        return None;
    }
    let rows = a.saddles.iter().map(|s| {
        let (lo, hi) = s.mesh.bounds();
        let size = (hi - lo).to_array().map(|x| t.length(x)).join(" × ");
        // One under a place along its tube is found by its middle.
        let along = || format!("{} from its start", t.length((s.seat[0] + s.seat[1]) / 2.0));
        let end = s.end.map_or_else(along, |e| e.word().to_owned());
        let cells = vec![s.number.to_string(), s.held.clone(), end, s.host.clone(), size];
        (cells, vec![s.held.clone(), s.host.clone()])
    });
    let size = format!("size {}", t.unit());
    Some(Sheet {
        id: "saddles",
        title: "Saddles to print".to_owned(),
        head: ["number on it", "holds", "at its", "sits on", &size].map(str::to_owned).to_vec(),
        numbers: vec![0],
        rows: rows.collect(),
        note: "The packet holds each as STL in millimetres. The lower, slanted face looks to the weld.".to_owned(),
    })
}
