//! What is the frame?

use review::curves::{Asked, Bent, edits, sheets};
use review::text::counted;
use review::{Review, Text};
use shape::bodies::BodyKind;
use shape::mass::MassProperties;

use super::{number, row, table, text};
use crate::wire::{Act, Cell, Page, Row, Table, Word};

const CAUTION: &str =
    "A drawn person is no fitting: try the seat, belts on and helmet on. Local rules and an inspector prevail.";

/// Tubes listed for each person.
const NEAREST: usize = 6;

pub fn page(r: &Review, t: &Text) -> Page {
    let s = review::summary(r);
    let u = t.unit();
    let mass = |key: &str, what: String, m: &MassProperties| {
        let c = m.centre;
        row(
            key,
            vec![
                text(what),
                number(t.mass(m.mass)),
                number(t.length(c.x)),
                number(t.length(c.y)),
                number(t.length(c.z - r.shape.datum)),
            ],
        )
        .at(c)
    };
    let mut masses = vec![mass("frame", format!("frame ({})", s.frame_counts()), &r.frame)];
    if !r.shape.bodies.is_empty() {
        masses.push(mass("laden", "with masses, wheels and people".to_owned(), &r.laden));
    }
    masses.extend(r.shape.bodies.iter().map(|b| {
        let word = match b.kind {
            BodyKind::Occupant => "person",
            BodyKind::Wheel => "wheel",
            BodyKind::Mass => "mass",
        };
        let c = b.centre;
        let cells = vec![
            text(format!("{word} {}", b.name)),
            number(t.mass(b.mass)),
            number(t.length(c.x)),
            number(t.length(c.y)),
            number(t.length(c.z - r.shape.datum)),
        ];
        row(format!("{word} {}", b.name), cells).at(c)
    }));
    let d = [r.frame.inertia, r.laden.inertia];
    let inertia = ["frame", "with masses, wheels and people"].iter().zip(d).map(|(what, m)| {
        let n = |v: f64| number(format!("{:.1}", t.inertia_number(v)));
        row(*what, vec![text(*what), n(m.x_axis.x), n(m.y_axis.y), n(m.z_axis.z)])
    });
    let near = r.room.occupants.iter().flat_map(|o| {
        o.near.iter().take(NEAREST).map(|n| {
            let cells = vec![text(&o.name), text(n.part), text(&n.tube), number(t.length(n.padded))];
            row(format!("{} {} {}", o.name, n.part, n.tube), cells).tube(&n.tube).at(n.at)
        })
    });
    let [wide, high] = r.shape.design.room.opening;
    let ways = r.room.openings.iter().map(|o| {
        let scale = o.person.map_or(0.0, |f| f.scale);
        let closed = match o.closure {
            design::Closure::Open => "nothing",
            design::Closure::Breaks => "a panel that breaks",
            design::Closure::Lifts => "a panel that lifts",
        };
        let cells = vec![
            text(&o.name),
            text(closed),
            number(t.length(scale * wide)),
            number(t.length(scale * high)),
            if o.passes { text("passes") } else { Cell::Over("does not pass".to_owned()) },
        ];
        row(&o.name, cells)
    });
    let skins = r.shape.skins.list.iter().map(|s| {
        let near = r.skins.iter().filter(|n| n.skin == s.name).min_by(|a, b| a.distance.total_cmp(&b.distance));
        let cells = vec![
            text(&s.name),
            text(if s.hard { "hard" } else { "soft" }),
            number(t.fine_number(s.gap)),
            number(near.map_or_else(String::new, |n| t.fine_number(n.distance))),
            text(near.map_or_else(String::new, |n| n.tube.clone())),
        ];
        row(&s.name, cells).tubes(near.map(|n| n.tube.clone()))
    });
    let curves = curves(r, t);
    let padding = r.shape.design.room.padding;
    let padded = if padding > 0.0 { format!("Less {} of padding.", t.length_unit(padding)) } else { String::new() };
    let mut tables = vec![
        table(
            "masses",
            "Masses and centres of gravity",
            &["", "mass", &format!("x {u}"), &format!("y {u}"), &format!("over the datum {u}")],
            masses,
        ),
        table(
            "inertia",
            format!("Inertia about the centre, {}", t.inertia_unit()),
            &["", "roll", "pitch", "yaw"],
            inertia.collect(),
        ),
        table("near", "Nearest to people", &["who", "part", "tube", &format!("distance {u}")], near.collect())
            .note(padded),
        table(
            "ways",
            "Ways out",
            &["opening", "closed by", &format!("width {u}"), &format!("height {u}"), "a person"],
            ways.collect(),
        )
        .note("The largest ellipse of a person's proportions, no ground in the way."),
        table(
            "skins",
            "Skins",
            &["skin", "", &format!("gap wanted {u}"), &format!("nearest {u}"), "tube"],
            skins.collect::<Vec<Row>>(),
        ),
    ];
    tables.extend(curves);
    tables.extend(review::rules::sheets(&r.rules, t).into_iter().map(super::of_sheet));
    let lead = format!(
        "{}, {}, {}; {} as cut.",
        counted(s.tubes, "tube"),
        counted(r.shape.joints.len(), "joint"),
        counted(s.plates, "plate"),
        t.mass(s.cut_kg)
    );
    super::page(Word::Shape, "What is the frame?", lead, tables, &[CAUTION])
}

/// What each curve becomes; none while it is not worked out.
fn curves(r: &Review, t: &Text) -> Vec<Table> {
    let all = r.bent.iter().flat_map(|all| all.iter().flatten());
    let tables = all.flat_map(|b| {
        sheets(b, t).into_iter().map(|s| {
            let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
            let rows = s.rows.into_iter().enumerate().map(|(k, (cells, tubes))| {
                let cells = cells.into_iter().enumerate().map(|(c, x)| match x.as_str() {
                    "over" => Cell::Over(x),
                    _ if s.numbers.contains(&c) => number(x),
                    _ => text(x),
                });
                let made = row(k.to_string(), cells.collect()).tubes(tubes);
                match (s.id, b.answer.tries.get(k)) {
                    ("curve_bends", Some(x)) => made.at(x.worst.curve).act(as_tube(r, b, k)),
                    ("curve_legs", _) => match b.bends.get(k) {
                        Some(x) => made.at(x.corner),
                        None => made,
                    },
                    _ => made,
                }
            });
            let note = if s.id == "curve_legs" { format!("{} {}", s.note, review::curves::CAUTION) } else { s.note };
            table(&format!("{}_{}", s.id, b.curve), s.title, &head, rows.collect()).note(note)
        })
    });
    tables.collect()
}

/// A chain that is written into the design as a tube: of those within the tolerance, and of the nearest.
fn as_tube(r: &Review, b: &Bent, k: usize) -> Option<Act> {
    let x = &b.answer.tries[k];
    if x.deviation > b.within && b.taken != Some(k) {
        return None;
    }
    let of = Bent { taken: Some(k), ..b.clone() };
    let (edits, tube) = edits(r, &of, Asked::default()).ok()?;
    let what = format!("tube {tube} of curve {}, with {}", b.curve, counted(x.bends, "bend"));
    Some(Act::Edit { words: "Make it a tube".to_owned(), what, edits })
}
