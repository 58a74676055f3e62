//! `cutting`: what is each piece?

use std::path::Path;
use std::process::ExitCode;

use cutting::welds::Weld;
use cutting::{Detail, EndCut, Piece, SetUp, WorkFrom};
use packet::fitting;
use packet::sheet::settings;
use review::{Review, Text, ends, ways_in, welds};
use serde_json::json;
use shape::End;
use strength::Depth;

use crate::load;
use crate::table::{sheet, table, wrap};

/// A cell of the long lists that is wider than this is broken, characters.
const WIDE: usize = 76;

/// What is asked for.
pub struct Asked<'a> {
    /// One piece in full.
    pub piece: Option<&'a str>,
    /// The pieces that do not stand yet, for the frame as measured.
    pub built: bool,
    /// End by end and weld by weld.
    pub details: bool,
}

/// Prints all pieces and what their ends and welds take, with `details` end by end and weld by weld; or one piece in full.
pub fn run(path: &Path, as_json: bool, asked: &Asked<'_>) -> Result<ExitCode, String> {
    let &Asked { piece, built, details } = asked;
    let (_, mut r) = load::review(path, Detail::SHEET, Depth::Live)?;
    if built {
        r = load::as_built(path, &r, Depth::Live)?;
    }
    let chosen = match piece {
        None => None,
        Some(name) => Some(r.cutting.pieces.iter().find(|p| p.name == name).ok_or_else(|| {
            let near = design::nearest(name, r.cutting.pieces.iter().map(|p| p.name.as_str()));
            let hint = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
            format!("error: no piece is called `{name}`{hint}")
        })?),
    };
    if as_json {
        match chosen {
            Some(p) => load::json(p)?,
            None => load::json(&json!({
                "units": "SI: m, kg, rad",
                "pieces": r.cutting.pieces, "findings": r.cutting.findings,
                "ends": *ends::of(&r), "welds": *welds::of(&r), "ways_in": *ways_in::of(&r),
            }))?,
        }
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&r.shape.design);
    match chosen {
        Some(p) => load::print(&full(&r, p, &t)),
        None => {
            let rows = r.cutting.pieces.iter().map(|p| {
                vec![
                    p.number.to_string(),
                    p.name.clone(),
                    p.section.clone(),
                    t.length(p.lengths.blank),
                    t.length(p.lengths.over_long),
                    p.bends.as_ref().map_or(String::new(), |b| b.bends.len().to_string()),
                    short(&p.ends[0], &t),
                    short(&p.ends[1], &t),
                ]
            });
            let mut out = table(
                &["", "piece", "section", "blank", "over long points", "bends", "start", "end"],
                &[0, 3, 4, 5],
                rows,
            );
            out += &format!(
                "Lengths in {}, rounded to {}. Angles from square; turn from the scribe line, clockwise looking from start to end.\n",
                t.unit_word(),
                t.step(),
            );
            out += &told(&r, details, &t);
            let name = path.display();
            if !details {
                out += &format!("\nEnd by end and weld by weld: tubewright cutting {name} --details\n");
            }
            out += &format!("One piece in full: tubewright cutting {name} --piece NAME\n");
            load::print(&out);
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// What ends and welds take, and how pieces go in; with `details` the lists themselves.
fn told(r: &Review, details: bool, t: &Text) -> String {
    let (ways, list) = (ends::of(r), welds::of(r));
    let mut out = String::from("\nends\n");
    for line in ends::summary(&ways) {
        out += &format!("  {line}\n");
    }
    if details {
        out += &sheet(&ends::ways(r, &ways, t), ", ", WIDE / 2);
        out += &sheet(&ends::setups(r, &ways, t), "; ", WIDE);
    }
    out += "\nwelds\n";
    for line in welds::summary(r, &list, t) {
        out += &format!("  {line}\n");
    }
    if details {
        out += &sheet(&welds::list(&list, t), ", ", WIDE / 2);
        for s in welds::sums(r, &list, t) {
            out += &sheet(&s, ", ", WIDE / 2);
        }
    }
    out += &format!("{}\n", welds::CAUTION);
    out += &entered(r, &list.welds, details, t);
    out
}

/// How each piece goes in: those for which no way was found, and with `details` all.
fn entered(r: &Review, welds: &[Weld], details: bool, t: &Text) -> String {
    let ways = ways_in::of(r);
    let mut out = String::from("\nway in\n");
    for line in ways_in::summary(r, &ways) {
        out += &format!("  {line}\n");
    }
    if details {
        out += &sheet(&ways_in::ways(r, &ways, welds, t), "; ", WIDE);
    }
    if let Some(s) = ways_in::without(r, &ways, t) {
        out += &sheet(&s, "; ", WIDE);
    }
    out += &format!("{}\n", ways_in::CAUTION);
    out
}

/// An end in a few words.
fn short(e: &EndCut, t: &Text) -> String {
    let mut parts: Vec<String> = e
        .setups
        .iter()
        .map(|s| match s {
            SetUp::Saw { angle, .. } if t.angle(*angle) == "0°" => "square".to_owned(),
            SetUp::Saw { angle, turn, .. } => format!("saw {} turn {}", t.angle(*angle), t.turn(*turn)),
            SetUp::HoleSaw { diameter, angle, turn, .. } => {
                format!("notch {} at {} turn {}", t.fine(*diameter), t.angle(*angle), t.turn(*turn))
            }
            SetUp::Template { .. } => "template".to_owned(),
        })
        .collect();
    if e.left_long > 0.0 {
        parts.push(format!("left {} long", t.length(e.left_long)));
    }
    if parts.is_empty() {
        parts.push("meets nothing".into());
    }
    // One set-up a line where an end has several: a terminal is only so wide.
    wrap(&parts, " +", 1)
}

fn full(r: &Review, p: &Piece, t: &Text) -> String {
    let l = &p.lengths;
    let mut out = format!("{} · piece {} · {} · {} · {}\n", p.name, p.number, p.section, p.material, t.mass(p.mass));
    if let Some(of) = &p.twin_of {
        out += &format!("mirror image of {of}\n");
    }
    if let Some(note) = &p.note {
        out += &format!("{note}\n");
    }
    out += "\n";
    let rows = [
        ("blank to cut from the stick", l.blank),
        ("over long points", l.over_long),
        ("over short points", l.over_short),
        ("between notch centres", l.between_centres),
        ("between end points", l.between_points),
        ("along the scribe line", l.on_scribe),
    ];
    for (name, v) in rows {
        out += &format!("  {name:<30}{:>18} {}\n", t.cut(v), t.unit());
    }
    if p.bends.is_some() {
        out += &format!("  {:<30}{:>18} {}\n", "straight when bent, end to end", t.cut(l.chord), t.unit());
    }
    let ways = ends::of(r);
    for end in End::BOTH {
        let e = p.end(end);
        out += &format!("\n{}: {}", end.word(), e.kind);
        if !e.to.is_empty() {
            out += &format!(" to {}", e.to.join(", "));
        }
        out += "\n";
        for (k, set) in e.setups.iter().enumerate() {
            // The settings on one line, the rest below it.
            let (strong, plain): (Vec<_>, Vec<_>) =
                settings::words(set, k + 1, p, end, t).into_iter().partition(|line| line.0);
            let strong: Vec<String> = strong.into_iter().map(|line| line.1).collect();
            out += &format!("  {}\n", strong.join(", "));
            for (_, line) in plain {
                out += &format!("    {line}\n");
            }
        }
        let simplest = ways.way(&p.name, end).map_or(String::new(), |x| ends::line(r, p, x, t));
        if !simplest.is_empty() {
            out += &format!("  {simplest}\n");
        }
        for seat in fitting::seats(r, p, end) {
            out += &format!("  {}\n", settings::seat(r, &seat, t));
        }
        if e.setups.is_empty() {
            out += "  meets nothing: see `tubewright check`\n";
        }
        if e.left_long > 0.0 {
            out += &format!("  left square and {} long, to be trimmed in place\n", t.length_unit(e.left_long));
        }
        if e.profile.missing > 0.0 {
            out += &format!(
                "  {:.0} % of the wall misses and is cut on the other tube's mid-plane\n",
                100.0 * e.profile.missing
            );
        }
    }
    if let Some(i) = ways_in::one(r, &p.name) {
        out += &format!("\nway in: {}\n", ways_in::line(r, &i, t));
        if !ways_in::goes_in(r, &i) {
            out += &format!("  in the way: {}\n", i.blocked_by.join(", "));
        }
        for help in ways_in::help(&i, t).iter().filter(|_| !ways_in::goes_in(r, &i)) {
            out += &format!("  what would help: {help}\n");
        }
    }
    if let Some(b) = &p.bends {
        let die = b.die.as_deref().map_or(String::new(), |d| format!(" on die {d}"));
        let from = match b.from {
            WorkFrom::Start => "start",
            WorkFrom::End => "end",
        };
        out += &format!(
            "\nbends{die}, {from} in the clamp first; marks from the blank's {from};\nturn the tube clockwise (cw) or anticlockwise (ccw) before the bend, looking from the {from} along it\n"
        );
        out += &table(
            &[
                "",
                &format!("mark {}", t.unit()),
                "turn",
                "angle",
                "set",
                &format!("radius {}", t.unit()),
                &format!("arc {}", t.unit()),
                "wall out/in",
            ],
            &[0, 1, 2, 3, 4, 5, 6, 7],
            b.bends.iter().enumerate().map(|(k, x)| {
                vec![
                    (k + 1).to_string(),
                    t.cut(x.mark),
                    if k == 0 { "-".into() } else { t.handed(-x.rotation) },
                    t.angle(x.angle),
                    x.setting.map_or("-".into(), |s| {
                        format!("{}{}", t.angle(s.set), if s.extrapolated { " ?" } else { "" })
                    }),
                    t.length(x.radius),
                    t.length(x.arc),
                    format!("{} / {}", t.fine(x.walls[0]), t.fine(x.walls[1])),
                ]
            }),
        );
        if b.grip_extra > 0.0 {
            out += &format!(
                "  {} extra at the {from} for the clamp, cut off after bending\n",
                t.length_unit(b.grip_extra)
            );
        }
    }
    out += &format!("\nLengths rounded to {}: off by at most half of that.\n", t.step());
    out
}
