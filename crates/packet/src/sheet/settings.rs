//! An end's set-ups in the words of its card: what is set, and where on the tube it is marked.

use std::f64::consts::{PI, TAU};

use cutting::{EndCut, Piece, SetUp};
use design::SectionShape;
use review::{Review, Text};
use shape::End;

use super::sketch::Direction;
use crate::fitting::Seat;

/// Gaps at corners under this are not worth a word, m.
const NO_GAP: f64 = 1e-5;
/// A hole saw's angle under this has no short side, rad; the sheets show it as none.
const SQUARE: f64 = 1e-3;

/// What an end's sketch shows: the turns of those set-ups that have one.
pub fn turns(e: &EndCut, t: &Text) -> Vec<Direction> {
    e.setups
        .iter()
        .enumerate()
        .filter_map(|(k, set)| match set {
            SetUp::Saw { angle, .. } if t.angle(*angle) == "0°" => None,
            SetUp::Saw { turn, .. } => Some(Direction { number: k + 1, turn: *turn, short: true }),
            SetUp::HoleSaw { turn, angle, .. } => {
                Some(Direction { number: k + 1, turn: *turn, short: *angle > SQUARE })
            }
            SetUp::Template { .. } => None,
        })
        .collect()
}

/// A set-up in lines; strong ones are the settings. Where an end has several they are numbered.
pub fn words(set: &SetUp, number: usize, p: &Piece, end: End, t: &Text) -> Vec<(bool, String)> {
    let cut = p.end(end);
    let several = cut.setups.len() > 1;
    let n = if several { format!("{number}  ") } else { String::new() };
    let settings = |what: &str, angle: f64, scale: f64, turn: f64| {
        let (angle, scale) = (t.angle(angle), t.angle(scale));
        let read = if angle == scale { String::new() } else { format!(", scale {scale}") };
        let (first, second) = (format!("{n}{what} {angle}{read}"), format!("turn {}", t.turn(turn)));
        if several && read.is_empty() {
            vec![(true, format!("{first} {second}"))]
        } else {
            vec![(true, first), (true, second)]
        }
    };
    match set {
        SetUp::Saw { angle, .. } if t.angle(*angle) == "0°" => vec![(true, format!("{n}saw square"))],
        SetUp::Saw { angle, scale, turn, against, faces, gap } => {
            let mut out = settings("saw", *angle, *scale, *turn);
            match faces {
                Some(faces) => out.extend(on_faces(*faces, t).map(|line| (false, line))),
                None => out.extend(place(p, end, *turn, t).map(|line| (false, line))),
            }
            if let Some(a) = against {
                out.push((false, format!("against {a}")));
            }
            if *gap > NO_GAP {
                out.push((false, format!("leaves up to {} at its corners", t.fine(*gap))));
            }
            out
        }
        SetUp::HoleSaw {
            against,
            diameter,
            saw,
            angle,
            scale,
            turn,
            offset,
            offset_turn,
            centre,
            depth,
            on_bend,
            gap,
        } => {
            let mut out = settings("notch", *angle, *scale, *turn);
            out.extend(place(p, end, *turn, t).map(|line| (false, line)));
            out.push((false, format!("{} hole saw for {against}", t.fine(*diameter))));
            let hand =
                saw.map_or(String::new(), |s| format!("; at hand {} × {}", t.fine_number(s.od), t.fine(s.depth)));
            out.push((false, format!("travel {}{hand}", t.length_unit(*depth))));
            if saw.is_some_and(|s| s.depth < *depth) {
                out.push((false, "too deep for that saw: from both sides".into()));
            }
            if *offset > 0.0 {
                let off = format!("axis {} off centre, towards {}", t.fine(*offset), t.turn(*offset_turn));
                out.push((false, off));
            }
            // From what can be touched: the piece's long point at this end.
            let beyond = *centre - cut.profile.long;
            let way = if beyond > 0.0 { "beyond" } else { "in from" };
            out.push((false, format!("centre {} {} {way} long point", t.cut(beyond.abs()), t.unit())));
            if *on_bend {
                out.push((
                    false,
                    format!("the other tube bends here: leaves up to {}, finish to the template", t.fine(*gap)),
                ));
            }
            out
        }
        SetUp::Template { against, why } => {
            vec![(true, format!("{n}template")), (false, format!("for {against}")), (false, (*why).into())]
        }
    }
}

/// The tube that a set-up cuts to.
pub fn against(set: &SetUp) -> Option<&String> {
    match set {
        SetUp::Saw { against, .. } => against.as_ref(),
        SetUp::HoleSaw { against, .. } | SetUp::Template { against, .. } => Some(against),
    }
}

/// The saw's line on a box tube's faces: how far from square, and on which side the tube is shorter. Right and left are
/// those of someone who looks from start to end, with the scribe line on top.
fn on_faces([top, side]: [f64; 2], t: &Text) -> [String; 2] {
    let line = |slope: f64, short: [&str; 2]| match t.angle(slope.abs()) {
        zero if zero == "0°" => "square across".to_owned(),
        angle => format!("{angle}, short {}", short[usize::from(slope < 0.0)]),
    };
    [
        format!("top, bottom: {}", line(top, ["on the right", "on the left"])),
        format!("sides: {}", line(side, ["at the top", "at the bottom"])),
    ]
}

/// Where round a round tube a turn lies, by a tape from the scribe line, the shorter way.
fn place(p: &Piece, end: End, turn: f64, t: &Text) -> Option<String> {
    let SectionShape::Round { od, .. } = p.size else { return None };
    let turn = turn.rem_euclid(TAU);
    match t.turn(turn).as_str() {
        "0°" => return Some("on the scribe line".into()),
        "180°" => return Some("opposite the scribe line".into()),
        _ => {}
    }
    // Turns run clockwise to one who faces the start, anticlockwise to one who faces the end.
    let clockwise = (turn < PI) == (end == End::Start);
    let way = if clockwise { "clockwise" } else { "anticlockwise" };
    let round = turn.min(TAU - turn) * od / 2.0;
    Some(format!("{} {} {way}, facing it", t.cut(round), t.unit()))
}

/// Where an end sits on a tube, in words.
pub fn seat(r: &Review, seat: &Seat, t: &Text) -> String {
    let host = r.cutting.pieces.iter().find(|x| x.name == seat.on);
    let bent = if host.is_some_and(|h| h.bends.is_some()) { " along its bends" } else { "" };
    let side = match (seat.middle, seat.turn(), host.map(|h| h.size)) {
        (Some(middle), _, Some(SectionShape::Box { width, height, .. })) => face(middle, [height, width], t),
        (_, Some(turn), _) => format!(", at {}", t.turn(turn)),
        _ => String::new(),
    };
    let (from, to, end) = (t.length(seat.from), t.length(seat.to), seat.measured_from.word());
    format!("sits on {} from {from} to {to} {} off its {end}{bent}{side}", seat.on, t.unit())
}

/// The face of a box tube that a place is on, and how far from the middle of that face.
fn face([up, right]: [f64; 2], [height, width]: [f64; 2], t: &Text) -> String {
    let (face, off, [more, less]) = if up.abs() * width > right.abs() * height {
        (if up > 0.0 { "top" } else { "bottom" }, right, ["right", "left"])
    } else {
        (if right > 0.0 { "right" } else { "left" }, up, ["above", "below"])
    };
    let length = t.length(off.abs());
    match length.as_str() {
        "0" => format!(", {face}"),
        length if more == "above" => {
            format!(", {face}, {length} {} {} its middle", t.unit(), if off > 0.0 { more } else { less })
        }
        length => {
            format!(", {face}, {length} {} to the {} of its middle", t.unit(), if off > 0.0 { more } else { less })
        }
    }
}
