//! Pieces as a phone at the bender shows them.

mod as_built;

use cutting::{EndCut, Piece, SetUp, WorkFrom};
use design::{SectionShape, TubeState};
use packet::exchange::{flat, svg};
use packet::sheet::settings;
use review::ends::{self, Ends};
use review::{Review, Text};
use serde::Serialize;
use shape::{End, Tube};

use crate::wire::{Operation, PieceCard, ShopCut, ShopEnd};

/// A piece with its end cuts unrolled.
#[derive(Clone, Debug, Serialize)]
pub struct FullPiece {
    /// The card.
    pub card: PieceCard,
    /// Both ends unrolled at 1:1 in millimetres, start and end, as SVG.
    pub unrolled: [String; 2],
}

/// Every piece, in building order.
pub fn cards(r: &Review) -> Vec<PieceCard> {
    let t = Text::new(&r.shape.design);
    let a = ends::of(r);
    r.cutting.pieces.iter().map(|p| card(r, p, &t, &a)).collect()
}

/// One piece; `None` if there is none of that name.
pub fn full(r: &Review, name: &str) -> Option<FullPiece> {
    let t = Text::new(&r.shape.design);
    let p = r.cutting.pieces.iter().find(|p| p.name == name)?;
    let unrolled = End::BOTH.map(|e| svg::write(&flat::template(p, e)));
    Some(FullPiece { card: card(r, p, &t, &ends::of(r)), unrolled })
}

/// In words which set-ups an end uses, and the other ends that use them.
fn shared(a: &Ends, p: &Piece, e: End) -> (String, Vec<String>) {
    let used = a.setups_of(&p.name, e);
    let numbers: Vec<String> = used.iter().map(usize::to_string).collect();
    let words = match numbers.is_empty() {
        true => String::new(),
        false => format!("set-up {} of {}", numbers.join(" and "), a.setups.batches.len()),
    };
    let places = used.iter().flat_map(|k| &a.setups.batches[k - 1].places);
    let others = places.filter(|x| x.piece != p.name || x.end != e);
    let mut shared: Vec<String> = others.map(|x| format!("{} {}", x.piece, x.end.word())).collect();
    shared.dedup();
    (words, shared)
}

/// The cuts of an end, each with its set-up.
fn cuts(r: &Review, a: &Ends, p: &Piece, e: End, t: &Text) -> Vec<ShopCut> {
    let batches = (1..).zip(&a.setups.batches);
    let all = batches.flat_map(|(n, b)| b.places.iter().map(move |x| (n, b, x)));
    all.filter(|(_, _, x)| x.piece == p.name && x.end == e)
        .map(|(setup, b, x)| {
            let told = ends::place(r, a, b, x, t);
            let back = if told.back.is_empty() { told.back } else { format!("{} {}", told.back, t.unit()) };
            ShopCut {
                setup,
                tool: ends::tool(b, t),
                set: ends::setting(b, &r.shape.design, t),
                end: told.end,
                turn: told.turn,
                back,
            }
        })
        .collect()
}

fn card(r: &Review, p: &Piece, t: &Text, a: &Ends) -> PieceCard {
    let l = &p.lengths;
    let tube = &r.shape.tubes[p.tube];
    let m = |x: f64| t.fine_number(x);
    let size = match p.size {
        SectionShape::Round { od, wall } => format!("{} × {}", m(od), m(wall)),
        SectionShape::Box { width, height, wall, .. } => format!("{} × {} × {}", m(width), m(height), m(wall)),
    };
    let mut sticks = r.stock.sections.iter().flat_map(|s| &s.sticks);
    let planned = sticks.find_map(|k| k.cuts.iter().find(|c| c.name == p.name).map(|c| (k, c)));
    let stick = planned.map_or(String::new(), |(k, _)| match &k.place {
        Some(place) => format!("stick {}, {place}", k.mark),
        None => format!("stick {}", k.mark),
    });
    // The saw takes its cut behind the piece, or what there is.
    let kerf = r.shape.design.rack.kerf;
    let left = planned.map_or(String::new(), |(k, c)| t.length_unit((k.length - c.to - kerf).max(0.0)));
    let middle = tube.chain.point(tube.chain.length() / 2.0).y;
    let paired = r.shape.design.tubes[tube.id.0].mirror;
    let side = match (paired, middle) {
        (true, y) if y > 0.0 => "left side",
        (true, y) if y < 0.0 => "right side",
        _ => "",
    };
    let unit = t.unit();
    let mut operations = vec![Operation::Cut];
    if p.bends.is_some() {
        operations.push(Operation::Bent);
    }
    if p.ends.iter().any(|e| e.setups.iter().any(|s| !matches!(s, SetUp::Saw { .. }))) {
        operations.push(Operation::Notched);
    }
    operations.push(Operation::Tacked);
    if p.state != TubeState::Temporary {
        operations.push(Operation::Welded);
    }
    PieceCard {
        name: p.name.clone(),
        number: p.number as u32,
        side: side.to_owned(),
        section: format!("{} {size}", p.section),
        stick,
        mark: planned.map_or(String::new(), |(k, _)| k.mark.clone()),
        stick_left: left,
        length: format!("{} {unit}", t.cut(l.blank)),
        length_words: "the blank to cut from the stick".to_owned(),
        blank: l.blank,
        lengths: lengths(p, t),
        ends: End::BOTH.map(|e| end(r, p, e, t, a)),
        bends: bends(p, t),
        bend_from: p.bends.as_ref().map_or(String::new(), |b| {
            let from = if b.from == WorkFrom::Start { "start" } else { "end" };
            let mut words = format!(
                "{from} in the clamp first; marks from the blank's {from}; turns looking from the {from} along the tube"
            );
            if b.grip_extra > 0.0 {
                let extra = t.length_unit(b.grip_extra);
                words += &format!("; {extra} extra at the {from} for the clamp, cut off after bending");
            }
            if b.bends.iter().any(|x| x.setting.is_some_and(|s| s.extrapolated)) {
                words += "; ? is beyond the shop's own test bends: bend a trial first";
            }
            words
        }),
        picture: picture(p, tube),
        operations,
        note: p.note.clone().unwrap_or_default(),
        built: as_built::of(r, &p.name, t),
    }
}

/// Lengths of a piece: what, and how much.
fn lengths(p: &Piece, t: &Text) -> Vec<[String; 2]> {
    let l = &p.lengths;
    let all = [
        ("over long points", l.over_long),
        ("over short points", l.over_short),
        ("between notch centres", l.between_centres),
        ("between end points", l.between_points),
        ("along the scribe line", l.on_scribe),
    ];
    all.map(|(w, v)| [w.to_owned(), format!("{} {}", t.cut(v), t.unit())]).to_vec()
}

/// Bends of a piece, with their headings first; nothing if it is straight.
fn bends(p: &Piece, t: &Text) -> Vec<Vec<String>> {
    let Some(b) = &p.bends else { return Vec::new() };
    let head = ["bend", &format!("mark {}", t.unit()), "turn before", "angle", "set to"].map(str::to_owned);
    let rows = b.bends.iter().enumerate().map(|(k, x)| {
        vec![
            (k + 1).to_string(),
            t.cut(x.mark),
            // As the bend table: the tube's turn, not the plane's.
            if k == 0 { "-".to_owned() } else { t.handed(-x.rotation) },
            t.angle(x.angle),
            // Beyond the shop's own test bends it is a guess, and says so.
            x.setting
                .map_or("-".to_owned(), |s| format!("{}{}", t.angle(s.set), if s.extrapolated { " ?" } else { "" })),
        ]
    });
    std::iter::once(head.to_vec()).chain(rows).collect()
}

fn end(r: &Review, p: &Piece, e: End, t: &Text, a: &Ends) -> ShopEnd {
    let cut: &EndCut = p.end(e);
    let at = cut.joint.as_ref().map_or(String::new(), |j| format!(", at {j}"));
    let angle = match cut.setups.first() {
        Some(SetUp::Saw { angle, .. }) if t.angle(*angle) == "0°" => "square".to_owned(),
        // The large figure is what the scale is set to, which on some machines is not the angle from square.
        Some(SetUp::Saw { angle, scale, .. } | SetUp::HoleSaw { angle, scale, .. }) => {
            let (angle, scale) = (t.angle(*angle), t.angle(*scale));
            if angle == scale { angle } else { format!("{scale} on the scale") }
        }
        Some(SetUp::Template { .. }) => "template".to_owned(),
        None => "square".to_owned(),
    };
    let mut setups: Vec<String> = cut
        .setups
        .iter()
        .enumerate()
        .map(|(k, s)| {
            let lines = settings::words(s, k + 1, p, e, t);
            lines.into_iter().map(|l| l.1).collect::<Vec<_>>().join(", ")
        })
        .collect();
    if cut.left_long > 0.0 {
        setups.push(format!("leave it square and {} long, trim it in place", t.length_unit(cut.left_long)));
    }
    let (batch, shared) = shared(a, p, e);
    let simplest = a.way(&p.name, e).map_or(String::new(), |x| ends::line(r, p, x, t));
    let cuts = cuts(r, a, p, e, t);
    ShopEnd { words: format!("{}{at}", e.word()), angle, setups, batch, shared, simplest, cuts }
}

/// The piece from the side, its scribe line up, as SVG: ends to one scale, the middle left out.
fn picture(p: &Piece, tube: &Tube) -> String {
    let (w, h) = (360.0, 76.0);
    let scale = 22.0 / tube.outline.reach();
    let reach = |e: &EndCut| (e.profile.long - e.profile.short) * scale;
    let fit = (120.0 / reach(&p.ends[0]).max(reach(&p.ends[1])).max(1.0)).min(1.0);
    let across = 22.0 / tube.outline.reach();
    let edge = |e: &EndCut, x: f64, sign: f64| -> Vec<(f64, f64)> {
        // The half that is turned to the reader, from the scribe line down.
        let mut near: Vec<(f64, f64)> = e
            .profile
            .fibres
            .iter()
            .filter_map(|f| {
                let q = tube.outline.point(tube.outline.station(f.round));
                let s = (f.outer.max(f.inner) - e.profile.long) * scale * fit;
                (q.y >= -1e-12).then_some((x + sign * s, h / 2.0 - q.x * across))
            })
            .collect();
        near.sort_by(|a, b| a.1.total_cmp(&b.1));
        near
    };
    let (a, b) = (edge(&p.ends[0], 4.0, -1.0), edge(&p.ends[1], w - 4.0, 1.0));
    let points = |list: &[(f64, f64)]| list.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ");
    let mut whole = a.clone();
    whole.extend(b.iter().rev());
    let top = |list: &[(f64, f64)]| list.first().copied().unwrap_or((0.0, 0.0));
    let (l, r) = (top(&a), top(&b));
    let middle = w / 2.0;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" role=\"img\"><title>{} from the side, scribe line \
         up</title><polygon class=\"tube\" points=\"{}\"/><line class=\"scribe\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" \
         y2=\"{:.1}\"/><path class=\"break\" d=\"M{} 8 l-5 20 l10 20 l-5 20 M{} 8 l-5 20 l10 20 l-5 20\"/></svg>",
        p.name,
        points(&whole),
        l.0,
        l.1,
        r.0,
        r.1,
        middle - 4.0,
        middle + 4.0
    )
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use cutting::Detail;

    use super::*;

    fn review(edit: impl Fn(String) -> String) -> Review {
        let text = edit(include_str!("../../../examples/gorse.toml").to_owned());
        let design = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text))).design;
        review::review(Arc::new(design), Detail::LIVE).expect("the demo resolves")
    }

    /// What a phone shows is what the packet's tables for the saw and the bender say, which are walked by a simulated
    /// bender and read back by independent readers.
    #[test]
    fn a_phone_shows_the_packets_own_figures() {
        let r = review(|t| t);
        let table = packet::exchange::csv::bends_lra(&r);
        let t = Text::new(&r.shape.design);
        for (card, p) in cards(&r).iter().zip(&r.cutting.pieces) {
            assert_eq!(card.length, format!("{} mm", t.cut(p.lengths.blank)), "{}", p.name);
            // The table ends each bent piece with the straight behind its last bend.
            let rows = table.lines().filter(|l| l.split(',').any(|c| c == p.name)).count();
            assert_eq!(card.bends.len(), rows, "{}", p.name);
            if let Some(b) = &p.bends {
                for (row, x) in card.bends[1..].iter().zip(&b.bends) {
                    assert_eq!(row[1], t.cut(x.mark));
                    let is = x.setting.map(|s| s.extrapolated);
                    assert_eq!(row[4].ends_with('?'), is == Some(true), "{row:?}");
                }
            }
            // A twin is cut on the other side, to the same length.
            if let Some(of) = &p.twin_of {
                let own = r.cutting.pieces.iter().find(|q| q.name == *of).expect("its original is cut");
                assert_eq!(t.cut(own.lengths.blank), t.cut(p.lengths.blank));
                assert!(!card.side.is_empty(), "{}", p.name);
            }
        }
    }

    /// On a machine whose scale reads 90 degrees for a square cut the large figure is the scale's.
    #[test]
    fn the_large_figure_is_what_the_scale_shows() {
        let (plain, turned) = (review(|t| t), review(|t| t.replace("square_reads = 0", "square_reads = 90")));
        let (a, b) = (cards(&plain), cards(&turned));
        let end = |c: &[PieceCard]| c.iter().find(|c| c.name == "main_hoop").expect("it is cut").ends[0].angle.clone();
        assert_eq!((end(&a).as_str(), end(&b).as_str()), ("10.5°", "79.5° on the scale"));
    }
}
