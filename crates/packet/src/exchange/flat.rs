//! Flat drawings for plotters and cutters, in millimetres at 1:1: what is on them. They are written by [`super::svg`] and
//! [`super::dxf`].

use cutting::Piece;
use glam::DVec2;
use review::{Review, Text};
use shape::{End, Plate};

use crate::sheet::{plates, templates};

/// What a line is for. Each is a layer of its own, so that an operator can send it to the right tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layer {
    /// An outer edge of what is cut out: the kerf lies outside it.
    CutOutside,
    /// A hole's edge: the kerf lies inside it.
    CutInside,
    /// Where the outside of the wall touches: to look at, not to cut.
    Contact,
    /// What is to be marked on the part.
    Mark,
    /// What the operator reads: neither cut nor marked.
    Note,
}

impl Layer {
    /// All of them.
    pub const ALL: [Layer; 5] = [Layer::CutOutside, Layer::CutInside, Layer::Contact, Layer::Mark, Layer::Note];

    /// Its name in the files.
    pub fn name(self) -> &'static str {
        match self {
            Layer::CutOutside => "cut-outside",
            Layer::CutInside => "cut-inside",
            Layer::Contact => "contact",
            Layer::Mark => "mark",
            Layer::Note => "note",
        }
    }
}

/// A line of a drawing.
#[derive(Clone, Debug)]
pub struct Line {
    /// What it is for.
    pub layer: Layer,
    /// Points, mm, y up; no two that follow one another are the same.
    pub points: Vec<DVec2>,
    /// Whether the last joins the first.
    pub closed: bool,
}

/// A circle of a drawing.
#[derive(Clone, Debug)]
pub struct Circle {
    /// What it is for.
    pub layer: Layer,
    /// Centre, mm.
    pub centre: DVec2,
    /// Radius, mm.
    pub radius: f64,
}

/// A line of writing.
#[derive(Clone, Debug)]
pub struct Note {
    /// What it is for.
    pub layer: Layer,
    /// Where it begins, mm.
    pub at: DVec2,
    /// How high its capitals are, mm.
    pub height: f64,
    /// What it says.
    pub words: String,
}

/// Height of writing, mm.
const WRITING: f64 = 3.0;
/// Width of a letter over its height: more than the mean of plain faces, so that room is kept for any of them.
const WIDE: f64 = 0.7;
/// From one line of writing to the next, mm.
const STEP: f64 = 4.5;
/// Most letters in a line of writing under a plate.
const LETTERS: usize = 84;
/// Points nearer than this are written as the same, mm: half of the last digit of a DXF.
const SAME: f64 = 5e-7;

/// A flat drawing.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    /// What it is.
    pub title: String,
    /// Lines.
    pub lines: Vec<Line>,
    /// Circles.
    pub circles: Vec<Circle>,
    /// Writing.
    pub notes: Vec<Note>,
}

/// What stays on the tube below the least point of the cut, mm.
const HOLD: f64 = 25.0;
/// Which side of a template's line stays.
const TEMPLATE: [&str; 2] = ["the line is the finished edge:", "kerf outside the line"];
/// Which side of a plate's lines stays.
const PLATE: &str = "Lines are the finished edge. Outer edges: kerf outside the line; holes: kerf inside.";

/// A closed line without points that are the same as the one before, so that a cutter makes no move of no length.
fn closed(layer: Layer, mut points: Vec<DVec2>) -> Line {
    points.dedup_by(|b, a| b.distance(*a) < SAME);
    while points.len() > 1 && points[0].distance(points[points.len() - 1]) < SAME {
        points.pop();
    }
    Line { layer, points, closed: true }
}

/// The wrap template of an end, print outward: across, the distance round from the scribe line, to the right at an end
/// and to the left at a start, since both have "out of the tube" up. The outline of the paper, anticlockwise, is on
/// [`Layer::CutOutside`], the true contact of the outside on [`Layer::Contact`]; on [`Layer::Mark`] stand an arrow to the
/// scribe line at either edge, the quarters and the name.
pub fn template(p: &Piece, end: End) -> Drawing {
    let around = templates::perimeter(&p.size) * 1e3;
    let mut paper = vec![DVec2::new(around, -HOLD)];
    paper.extend(templates::printed(p, end, |f| f.radial).into_iter().rev());
    paper.push(DVec2::new(0.0, -HOLD));
    let quarter = |part: f64| Line {
        layer: Layer::Mark,
        points: vec![DVec2::new(around * part, -HOLD), DVec2::new(around * part, 6.0 - HOLD)],
        closed: false,
    };
    // No line along the edge: it is cut there.
    let arrow = |edge: f64, inward: f64| Line {
        layer: Layer::Mark,
        points: [-1.5, 0.0, 1.5].map(|y: f64| DVec2::new(edge + inward * 1.5 * y.abs(), y + 22.5 - HOLD)).to_vec(),
        closed: false,
    };
    let title = format!("{} {}", p.name, end.word());
    let mut notes =
        vec![Note { layer: Layer::Mark, at: DVec2::new(3.0, 17.0 - HOLD), height: WRITING, words: title.clone() }];
    for (k, words) in TEMPLATE.iter().enumerate() {
        // A thin tube's template is narrow.
        let height = WRITING.min((around - 6.0).max(6.0) / (WIDE * words.len() as f64));
        let at = DVec2::new(3.0, 17.0 - STEP * (k + 1) as f64 - HOLD);
        notes.push(Note { layer: Layer::Note, at, height, words: (*words).to_owned() });
    }
    Drawing {
        title,
        lines: vec![
            closed(Layer::CutOutside, paper),
            Line { layer: Layer::Contact, points: templates::printed(p, end, |f| f.outer), closed: false },
            arrow(0.0, 1.0),
            quarter(0.25),
            quarter(0.5),
            quarter(0.75),
            arrow(around, -1.0),
        ],
        circles: Vec::new(),
        notes,
    }
}

/// All plates, flat, in the shape's order: the outline, anticlockwise, and its holes at their finished sizes. Nothing is
/// added or taken off for a cutter's kerf: the layers, and words under the plate, say on which side of a line it goes.
pub fn plates(r: &Review) -> Vec<Drawing> {
    let t = Text::new(&r.shape.design);
    let shapes = plates::shapes(r);
    r.shape.plates.iter().map(|p| plate(p, &words(r, &t, &shapes, p))).collect()
}

/// What is said under a plate: what it is of, how many, the side of the kerf.
fn words(r: &Review, t: &Text, shapes: &[Vec<&Plate>], p: &Plate) -> Vec<String> {
    let d = &r.shape.design;
    let material = &d.materials[d.plates[p.id.0].material.0].name;
    let mut out = vec![format!("{}: {material}, {} thick.", p.name, t.fine(p.thickness))];
    let alike: Vec<&str> = shapes
        .iter()
        .find(|g| g.iter().any(|q| q.name == p.name))
        .map_or(Vec::new(), |g| g.iter().map(|q| q.name.as_str()).collect());
    let all = match alike.len() {
        0 | 1 => "One from this drawing; no other is like it.".to_owned(),
        n => format!(
            "One from this drawing, or all {n} of its shape (a mirror image is the same plate turned over): {}.",
            alike.join(", ")
        ),
    };
    let mut line = String::new();
    for word in all.split(' ') {
        if !line.is_empty() && line.len() + 1 + word.len() > LETTERS {
            out.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line += word;
    }
    out.extend([line, PLATE.to_owned()]);
    out
}

fn plate(p: &Plate, words: &[String]) -> Drawing {
    // The name stands about the middle.
    let half = 0.5 * WRITING * DVec2::new(WIDE * p.name.len() as f64, 1.0);
    let middle = p.corners.iter().sum::<DVec2>() * (1e3 / p.corners.len().max(1) as f64);
    let mut circles: Vec<Circle> = Vec::new();
    for (c, d) in &p.holes {
        let (centre, radius) = (*c * 1e3, d * 500.0);
        // What is given twice is cut once.
        if circles.iter().all(|k| k.centre.distance(centre) > SAME || (k.radius - radius).abs() > SAME) {
            circles.push(Circle { layer: Layer::CutInside, centre, radius });
        }
    }
    let mut out = Drawing {
        title: p.name.clone(),
        notes: vec![Note { layer: Layer::Mark, at: middle - half, height: WRITING, words: p.name.clone() }],
        lines: vec![closed(Layer::CutOutside, p.corners.iter().map(|c| *c * 1e3).collect())],
        circles,
    };
    // Beside the part, so that nothing of it stands where it would be cut.
    let below = bounds(&out).0;
    for (k, words) in words.iter().enumerate() {
        let at = below - DVec2::new(0.0, STEP * (k + 2) as f64);
        out.notes.push(Note { layer: Layer::Note, at, height: WRITING, words: words.clone() });
    }
    out
}

/// Least and greatest coordinates, mm, with the writing that is not on the part.
pub(super) fn bounds(d: &Drawing) -> (DVec2, DVec2) {
    let circle = |c: &Circle| [c.centre - c.radius, c.centre + c.radius];
    let note = |n: &Note| {
        // Letters such as g hang down by about a quarter of a capital.
        let size = n.height * DVec2::new(WIDE * n.words.chars().count() as f64, 1.0);
        [n.at - DVec2::new(0.0, 0.25 * n.height), n.at + size]
    };
    let points = d.lines.iter().flat_map(|l| l.points.iter().copied()).chain(d.circles.iter().flat_map(circle));
    let notes = d.notes.iter().filter(|n| n.layer == Layer::Note).flat_map(note);
    points.chain(notes).fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |b, p| (b.0.min(p), b.1.max(p)))
}
