//! Flat drawings for plotters and cutters, in millimetres at 1:1, and as SVG. For DXF see [`super::dxf`].

use cutting::Piece;
use glam::DVec2;
use shape::{End, Plate};

use crate::sheet::templates;

/// A line of a drawing.
#[derive(Clone, Debug)]
pub struct Line {
    /// Name of its layer.
    pub layer: &'static str,
    /// Points, mm, y up.
    pub points: Vec<DVec2>,
    /// Whether the last joins the first.
    pub closed: bool,
}

/// A circle of a drawing.
#[derive(Clone, Debug)]
pub struct Circle {
    /// Name of its layer.
    pub layer: &'static str,
    /// Centre, mm.
    pub centre: DVec2,
    /// Radius, mm.
    pub radius: f64,
}

/// A line of writing, on layer `mark`.
#[derive(Clone, Debug)]
pub struct Note {
    /// Where it begins, mm.
    pub at: DVec2,
    /// What it says.
    pub words: String,
}

/// Height of writing, mm.
pub(super) const WRITING: f64 = 3.0;

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

/// The wrap template of an end, print outward: across, the distance round from the scribe line, to the right at an end
/// and to the left at a start, since both have "out of the tube" up. The outline of
/// the paper is on layer `cut`, the true contact of the outside on `contact`; on `mark` stand the scribe line at both
/// edges (long), the quarters (short) and the name.
pub fn template(p: &Piece, end: End) -> Drawing {
    let around = templates::perimeter(&p.size) * 1e3;
    let cut = templates::printed(p, end, |f| f.radial);
    let mut paper = vec![DVec2::new(0.0, -HOLD)];
    paper.extend(&cut);
    paper.push(DVec2::new(around, -HOLD));
    let mark = |part: f64, tall: f64| Line {
        layer: "mark",
        points: vec![DVec2::new(around * part, -HOLD), DVec2::new(around * part, -HOLD + tall)],
        closed: false,
    };
    let title = format!("{} {}", p.name, end.word());
    Drawing {
        notes: vec![Note { at: DVec2::new(3.0, 8.0 - HOLD), words: title.clone() }],
        title,
        lines: vec![
            Line { layer: "cut", points: paper, closed: true },
            Line { layer: "contact", points: templates::printed(p, end, |f| f.outer), closed: false },
            mark(0.0, 10.0),
            mark(0.25, 6.0),
            mark(0.5, 6.0),
            mark(0.75, 6.0),
            mark(1.0, 10.0),
        ],
        circles: Vec::new(),
    }
}

/// A plate, flat: its outline and holes as they are to measure, without allowance for a cutter's kerf.
pub fn plate(p: &Plate) -> Drawing {
    // Letters are about half as wide as high: the name stands about the middle.
    let half = DVec2::new(0.25 * WRITING * p.name.chars().count() as f64, 0.5 * WRITING);
    let middle = p.corners.iter().sum::<DVec2>() * (1e3 / p.corners.len().max(1) as f64);
    Drawing {
        title: p.name.clone(),
        notes: vec![Note { at: middle - half, words: p.name.clone() }],
        lines: vec![Line { layer: "cut", points: p.corners.iter().map(|c| *c * 1e3).collect(), closed: true }],
        circles: p.holes.iter().map(|(c, d)| Circle { layer: "cut", centre: *c * 1e3, radius: d * 500.0 }).collect(),
    }
}

/// Least and greatest coordinates, mm; writing may run over.
pub(super) fn bounds(d: &Drawing) -> (DVec2, DVec2) {
    let circle = |c: &Circle| [c.centre - c.radius, c.centre + c.radius];
    let points = d.lines.iter().flat_map(|l| l.points.iter().copied()).chain(d.circles.iter().flat_map(circle));
    points.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |b, p| (b.0.min(p), b.1.max(p)))
}

/// As SVG, a unit a millimetre.
pub fn svg(d: &Drawing) -> String {
    let (lo, hi) = bounds(d);
    let size = hi - lo;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.4}mm\" height=\"{1:.4}mm\" viewBox=\"0 0 {0:.4} {1:.4}\">\n<title>{2}</title>\n",
        size.x, size.y, d.title
    );
    for l in &d.lines {
        let style = match l.layer {
            "cut" => "stroke=\"#1c2830\" stroke-width=\"0.2\"",
            "contact" => "stroke=\"#5c666c\" stroke-width=\"0.15\" stroke-dasharray=\"0.8\"",
            _ => "stroke=\"#2646a8\" stroke-width=\"0.15\"",
        };
        let points: Vec<String> = l.points.iter().map(|p| format!("{:.4},{:.4}", p.x - lo.x, hi.y - p.y)).collect();
        let tag = if l.closed { "polygon" } else { "polyline" };
        out += &format!("<{tag} class=\"{}\" fill=\"none\" {style} points=\"{}\"/>\n", l.layer, points.join(" "));
    }
    for c in &d.circles {
        out += &format!(
            "<circle class=\"{}\" fill=\"none\" stroke=\"#1c2830\" stroke-width=\"0.2\" cx=\"{:.4}\" cy=\"{:.4}\" r=\"{:.4}\"/>\n",
            c.layer,
            c.centre.x - lo.x,
            hi.y - c.centre.y,
            c.radius
        );
    }
    for t in &d.notes {
        out += &format!(
            "<text class=\"mark\" fill=\"#2646a8\" font-family=\"sans-serif\" font-size=\"{WRITING}\" x=\"{:.4}\" y=\"{:.4}\">{}</text>\n",
            t.at.x - lo.x,
            hi.y - t.at.y,
            t.words
        );
    }
    out + "</svg>\n"
}
