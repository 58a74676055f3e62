//! What cutting has to say.

use std::collections::BTreeMap;

use design::SectionShape;
use shape::finding::{less, more};
use shape::{End, Finding, Level, Shape, Value};

use crate::piece::{EndCut, Piece};
use crate::plan::{EndKind, EndPlan};
use crate::setup::{SetUp, fits};

/// An end that misses less than this share of its wall is a full end: a sliver that a bead covers.
const SLIVER: f64 = 0.02;

/// Under this angle between two tubes a torch does not reach the heel: 30 degrees, AWS D1.1's least prequalified brace
/// angle (from memory).
const SHARPEST: f64 = std::f64::consts::PI / 6.0;

/// Workshop saws turn to 60 degrees from square at most: common practice, no source.
const LONGEST_CUT: f64 = std::f64::consts::PI / 3.0 + 1e-9;

/// Two tubes whose angle differs from straight on by less than this lie along one another.
const LEAST_ANGLE: f64 = 0.05;

pub(crate) fn findings(shape: &Shape, plans: &[[EndPlan; 2]], pieces: &[Piece]) -> Vec<Finding> {
    let mut out = Vec::new();
    for p in pieces {
        for end in End::BOTH {
            end_findings(shape, &plans[p.tube][end as usize], p, end, &mut out);
        }
        if p.lengths.over_short <= 0.0 || overlap(p) {
            out.push(
                Finding::new(Level::Mend, "cutting", format!("nothing is left of {} between its two cuts", p.name))
                    .tubes([p.name.clone()])
                    .measured(Value::Length(p.lengths.over_short))
                    .help("leave the tube out, or move its points apart"),
            );
        }
        bend_findings(shape, p, &mut out);
    }
    no_saw(shape, pieces, &mut out);
    out
}

/// Whether the two cuts of a straight piece cross.
fn overlap(p: &Piece) -> bool {
    let least = |e: &EndCut| e.profile.fibres.iter().map(|f| f.outer.min(f.inner)).fold(f64::INFINITY, f64::min);
    p.bends.is_none() && p.lengths.between_points + least(&p.ends[0]) + least(&p.ends[1]) <= 0.0
}

fn end_findings(shape: &Shape, plan: &EndPlan, p: &Piece, end: End, out: &mut Vec<Finding>) {
    let cut = p.end(end);
    let tube = &shape.tubes[p.tube];
    let who = format!("{} of {}", end.word(), p.name);
    let about = || std::iter::once(p.name.clone()).chain(cut.to.iter().cloned());
    let new = |level, what: String| Finding::new(level, "cutting", what).tubes(about()).at(cut.at);
    if cut.profile.open {
        let what = format!("{who} never meets what it is to be cut to");
        out.push(
            new(Level::Mend, what).help("check the plane or the tubes named in `to`, and the direction of the tube"),
        );
        return;
    }
    if cut.profile.short < -tube.end_leg(end) && !tube.is_straight() {
        let what = format!("the cut at the {who} runs into its bend");
        let f = new(Level::Mend, what).measured(Value::Length(-cut.profile.short));
        out.push(
            f.limit(Value::Length(tube.end_leg(end)), "straight at that end").help("move the bend away from the end"),
        );
    }
    if cut.profile.missing > SLIVER {
        let level = if cut.profile.missing > 0.5 { Level::Mend } else { Level::Look };
        let what = format!("{who} misses part of {}", cut.to.join(", "));
        out.push(
            new(level, what)
                .measured(Value::Part(cut.profile.missing))
                .help("the part that misses is cut on the other tube's mid-plane; centre the tube, use a smaller one, or close it with a plate"),
        );
    }
    for name in &cut.extra {
        let what = format!("{who} also runs into {name}, and is cut to it");
        out.push(
            new(Level::Look, what).help(format!("move their points apart if it should not, or join it to {name}")),
        );
    }
    if let EndKind::Plane(_, Some(other)) = plan.kind {
        let o = &shape.tubes[other];
        if outline_differs(&shape.design.sections[tube.section.0].shape, &shape.design.sections[o.section.0].shape)
            && p.tube < other
        {
            let what = format!("{} and {} are mitred but differ in outline", p.name, o.name);
            out.push(
                new(Level::Look, what)
                    .help(format!("say `cut = \"cope\"` at that end of {} to cut it to the other's side", o.name)),
            );
        }
    }
    for s in &cut.setups {
        setup_findings(shape, &who, s, cut, &new, out);
    }
    if let EndKind::Cope(hosts) = &plan.kind {
        for &h in hosts.iter().filter(|&&h| h > p.tube && shape.tubes[h].state == tube.state) {
            let what = format!("{who} is cut to {}, which is fitted later", shape.tubes[h].name);
            out.push(new(Level::Look, what).help(format!("put {} after {} in the file", p.name, shape.tubes[h].name)));
        }
    }
    if cut.left_long > 0.0 {
        let what = format!("{who} is left long, to be trimmed in place");
        out.push(new(Level::Note, what).measured(Value::Length(cut.left_long)));
    }
}

fn setup_findings(
    shape: &Shape,
    who: &str,
    s: &SetUp,
    cut: &EndCut,
    new: &dyn Fn(Level, String) -> Finding,
    out: &mut Vec<Finding>,
) {
    let sharp = |angle: f64, against: &str, out: &mut Vec<Finding>| {
        let between = std::f64::consts::FRAC_PI_2 - angle;
        if between < LEAST_ANGLE {
            let what = format!("{who} runs almost along {against}");
            out.push(new(Level::Mend, what).measured(Value::Angle(between)).help("let the two meet at a wider angle"));
        } else if less(between, SHARPEST) {
            let what = format!("{who} meets {against} at a sharp angle: the weld's heel is hard to reach");
            let f = new(Level::Look, what).measured(Value::Angle(between));
            out.push(f.limit(Value::Angle(SHARPEST), "AWS D1.1, least prequalified angle, from memory"));
        }
    };
    match s {
        SetUp::HoleSaw { against, diameter, saw, angle, depth, on_bend, gap, .. } => {
            sharp(*angle, against, out);
            if *on_bend && more(*gap, shape.design.limits.fit) {
                let what = format!("{who} lands on the bend of {against}: use the template, not the hole saw alone");
                let f = new(Level::Look, what).measured(Value::Length(*gap));
                out.push(
                    f.limit(Value::Length(shape.design.limits.fit), "limits.fit; gap of a straight notch")
                        .help("move the end onto a straight part, or grind to the template's line"),
                );
            }
            match saw {
                // Said once for all ends: see `no_saw`.
                Some(saw) if !fits(saw.od, diameter - 2.0 * cut.gap, shape.design.limits.fit) => {}
                Some(saw) if more(*depth, saw.depth) => {
                    let what = format!("the hole saw is too shallow for the {who} against {against}");
                    let f = new(Level::Look, what).measured(Value::Length(*depth));
                    out.push(f.limit(Value::Length(saw.depth), "notcher.saws").help(
                        "saw from both sides, cut the slug out on the way, use a deeper saw, or grind to the template's line",
                    ));
                }
                _ => {}
            }
        }
        SetUp::Saw { angle, against: Some(against), .. } if cut.kind == "cope" => sharp(*angle, against, out),
        SetUp::Saw { angle, .. } if *angle > LONGEST_CUT => {
            let what = format!("the cut at the {who} is farther from square than a saw turns");
            let f = new(Level::Look, what).measured(Value::Angle(*angle));
            out.push(f.limit(Value::Angle(LONGEST_CUT), "common practice, no source").help(
                "hold the tube square to a 90 degree block in the saw and cut the rest of the angle, or use the template",
            ));
        }
        SetUp::Saw { .. } | SetUp::Template { .. } => {}
    }
}

/// Ends that no hole saw at hand fits: one finding for each saw that is missing.
fn no_saw(shape: &Shape, pieces: &[Piece], out: &mut Vec<Finding>) {
    // Diameters are told apart to a hundredth of a millimetre.
    let key = |m: f64| (m * 1e5).round() as i64;
    let mut missing: BTreeMap<i64, Vec<(&Piece, End, &SetUp)>> = BTreeMap::new();
    for p in pieces {
        for end in End::BOTH {
            for s in &p.end(end).setups {
                let SetUp::HoleSaw { diameter, saw: Some(saw), .. } = s else { continue };
                if !fits(saw.od, diameter - 2.0 * p.end(end).gap, shape.design.limits.fit) {
                    missing.entry(key(*diameter)).or_default().push((p, end, s));
                }
            }
        }
    }
    for ends in missing.values() {
        let Some((first, _, SetUp::HoleSaw { diameter, saw: Some(saw), .. })) = ends.first() else { continue };
        let (named, count) = named(ends.iter().map(|e| (e.0.name.as_str(), e.1)));
        let what = match count {
            1 => format!("no hole saw at hand fits the {named}"),
            n => format!("no hole saw at hand fits {n} ends: {named}"),
        };
        let mut tubes: Vec<String> = ends.iter().map(|e| e.0.name.clone()).collect();
        tubes.dedup();
        out.push(
            Finding::new(Level::Look, "cutting", what)
                .tubes(tubes)
                .at(first.end(ends[0].1).at)
                .measured(Value::Length(*diameter))
                .limit(Value::Length(saw.od), "nearest of notcher.saws")
                .help("use the templates, or add the saw to `[notcher]`"),
        );
    }
}

/// A finding names the ends of so many tubes, and the number of the rest: its `tubes` are all there.
const NAMED: usize = 12;

fn named<'a>(ends: impl Iterator<Item = (&'a str, End)>) -> (String, usize) {
    named_first(ends, NAMED)
}

/// Ends in words, a tube beside its twin: those of the first `most` tubes, and the number of the rest. And how many
/// there are.
pub fn named_first<'a>(ends: impl Iterator<Item = (&'a str, End)>, most: usize) -> (String, usize) {
    // Each tube, twins with it, in the order of the pieces: which of its ends and of its twin's.
    let mut tubes: Vec<(&str, [[bool; 2]; 2])> = Vec::new();
    for (name, end) in ends {
        let (own, twin) = (name.trim_end_matches('~'), usize::from(name.ends_with('~')));
        if tubes.iter().all(|t| t.0 != own) {
            tubes.push((own, [[false; 2]; 2]));
        }
        for t in tubes.iter_mut().filter(|t| t.0 == own) {
            t.1[twin][end as usize] = true;
        }
    }
    let which = |ends: [bool; 2]| match ends {
        [true, true] => "both ends",
        [true, false] => End::Start.word(),
        _ => End::End.word(),
    };
    let words = |(name, sides): &(&str, [[bool; 2]; 2])| match sides {
        [[false, false], twin] => format!("{} of {name}~", which(*twin)),
        [own, [false, false]] => format!("{} of {name}", which(*own)),
        [own, twin] if own == twin => format!("{} of {name} and {name}~", which(*own)),
        [own, twin] => format!("{} of {name}, {} of {name}~", which(*own), which(*twin)),
    };
    let count = |list: &[(&str, [[bool; 2]; 2])]| list.iter().flat_map(|t| t.1.as_flattened()).filter(|e| **e).count();
    let (told, rest) = tubes.split_at(tubes.len().min(most));
    let mut names: Vec<String> = told.iter().map(words).collect();
    if !rest.is_empty() {
        names.push(format!("{} more", count(rest)));
    }
    (names.join(", "), count(&tubes))
}

fn outline_differs(a: &SectionShape, b: &SectionShape) -> bool {
    match (a, b) {
        (SectionShape::Round { od: a, .. }, SectionShape::Round { od: b, .. }) => (a - b).abs() > geometry::SAME_PLACE,
        (SectionShape::Box { width: aw, height: ah, .. }, SectionShape::Box { width: bw, height: bh, .. }) => {
            (aw - bw).abs() > geometry::SAME_PLACE || (ah - bh).abs() > geometry::SAME_PLACE
        }
        _ => true,
    }
}

fn bend_findings(shape: &Shape, p: &Piece, out: &mut Vec<Finding>) {
    let Some(b) = &p.bends else { return };
    let die = shape.design.tubes[shape.tubes[p.tube].id.0].die.map(|d| &shape.design.dies[d.0]);
    let new = |level, what: String| Finding::new(level, "cutting", what).tubes([p.name.clone()]);
    if let Some(d) = die {
        for (k, s) in &b.short_straights {
            let what = format!("the straight before bend {k} of {} is shorter than die {} needs", p.name, d.name);
            let f = new(Level::Mend, what).measured(Value::Length(*s));
            out.push(f.limit(Value::Length(d.between), format!("die.{}.between", d.name)).help("move the bends apart"));
        }
        for k in &b.over_angle {
            let what = format!("bend {k} of {} asks for more than die {} can be set to", p.name, d.name);
            let f = new(Level::Mend, what).measured(Value::Angle(b.bends[k - 1].turned()));
            let max = d.max_angle.unwrap_or(0.0);
            out.push(f.limit(Value::Angle(max), format!("die.{}.max_angle", d.name)).help("use two bends"));
        }
        if b.grip_extra > 0.0 {
            let what = format!("{} has too little straight for the clamp, so its blank is longer", p.name);
            let f = new(Level::Note, what).measured(Value::Length(b.grip_extra));
            out.push(
                f.limit(Value::Length(d.grip), format!("die.{}.grip", d.name)).help("cut the extra off after bending"),
            );
        }
        for (k, bend) in b.bends.iter().enumerate() {
            if bend.setting.is_some_and(|s| s.extrapolated) {
                let what = format!("bend {} of {} lies outside the test bends of die {}", k + 1, p.name, d.name);
                let f = new(Level::Look, what).measured(Value::Angle(bend.angle));
                out.push(f.help("make a test bend near that angle and add it to the die's `tests`"));
            }
            if (bend.radius - d.radius).abs() > geometry::SAME_PLACE {
                let what =
                    format!("bend {} of {} is drawn with another radius than die {} makes", k + 1, p.name, d.name);
                let f = new(Level::Mend, what).measured(Value::Length(bend.radius));
                out.push(
                    f.limit(Value::Length(d.radius), format!("die.{}.radius", d.name))
                        .help("leave `bend_radius` out: the die gives it"),
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_named_beside_their_twins() {
        let (s, e) = (End::Start, End::End);
        let said = |list: &[(&str, End)]| named(list.iter().copied());
        assert_eq!(said(&[("a", s)]), ("start of a".to_owned(), 1));
        assert_eq!(
            said(&[("a", s), ("a", e), ("a~", s), ("a~", e), ("b~", e), ("c", s), ("c~", e)]),
            ("both ends of a and a~, end of b~, start of c, end of c~".to_owned(), 7)
        );
    }
}
