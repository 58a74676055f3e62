//! `shape`: what is the frame?

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use geometry::Convex;
use geometry::convex::Core;
use review::text::counted;
use review::{Review, Text};
use serde_json::json;
use shape::bodies::BodyKind;
use strength::Depth;

use crate::load;
use crate::table::table;

/// Prints tubes, joints and mass.
pub fn run(path: &Path, as_json: bool) -> Result<ExitCode, String> {
    let (_, r) = load::review(path, Detail::SHEET, Depth::Live)?;
    let shape = &r.shape;
    if as_json {
        let tubes: Vec<_> = shape
            .tubes
            .iter()
            .map(|t| {
                json!({
                    "name": t.name,
                    "section": shape.design.sections[t.section.0].name,
                    "state": t.state,
                    "corners": t.chain.corners,
                    "length": t.chain.length(),
                    "scribe": t.frames[0].u,
                })
            })
            .collect();
        let points: Vec<_> = shape
            .design
            .points
            .iter()
            .zip(shape.places.own())
            .map(|(p, at)| json!({ "name": p.name, "at": at }))
            .collect();
        let joints: Vec<_> = shape
            .joints
            .iter()
            .map(|j| {
                let members: Vec<_> = j
                    .members
                    .iter()
                    .map(|m| {
                        json!({
                            "tube": shape.tubes[m.tube].name, "role": m.role, "station": m.station,
                            "offset": m.offset, "found": m.found,
                        })
                    })
                    .collect();
                json!({ "name": j.name, "at": j.at, "members": members })
            })
            .collect();
        let people: Vec<_> = shape
            .bodies
            .iter()
            .filter(|b| b.kind == BodyKind::Occupant)
            .map(|b| {
                let capsule = |(part, room): &(&str, Convex)| match room.core {
                    Core::Segment(a, c) => Some(json!({ "part": part, "ends": [a, c], "radius": room.margin })),
                    _ => None,
                };
                json!({ "name": b.name, "parts": b.parts.iter().filter_map(capsule).collect::<Vec<_>>() })
            })
            .collect();
        let curves = review::curves::of(&r);
        let findings =
            [shape.findings(), r.room.findings.clone(), review::curves::findings(shape, &r.curves, Some(&curves))]
                .concat();
        load::json(&json!({
            "units": "SI: m, kg, rad",
            "summary": review::summary(&r), "datum": shape.datum, "points": points, "tubes": tubes, "joints": joints,
            "frame": r.frame, "laden": r.laden, "skins": review::skins(&r), "curves": curves.iter().flatten().collect::<Vec<_>>(), "people": people, "room": r.room,
            "findings": findings,
        }))?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&shape.design);
    let s = review::summary(&r);
    let mut out = format!(
        "{}: {} ({} provisional, {} temporary), {}, {}\n\n",
        s.name,
        counted(s.tubes, "tube"),
        s.provisional,
        s.temporary,
        counted(s.plates, "plate"),
        counted(shape.joints.len(), "joint")
    );
    out += &table(
        &["tube", "section", &format!("length {}", t.unit()), "bends", "from", "to"],
        &[2, 3],
        shape.tubes.iter().map(|tube| {
            let path = &shape.design.tubes[tube.id.0].path;
            let name = |p: &design::PointRef| design::twin_name(&shape.design.points[p.id.0].name, p.twin != tube.twin);
            vec![
                tube.name.clone(),
                shape.design.sections[tube.section.0].name.clone(),
                t.length(tube.chain.length()),
                (tube.chain.segments.len() / 2).to_string(),
                name(&path[0]),
                name(&path[path.len() - 1]),
            ]
        }),
    );
    let mass = |label: &str, m: &shape::mass::MassProperties| {
        let d = m.inertia;
        format!(
            "{label}: {}, centre of gravity x {}, y {}, z {} {} ({} over the datum)\n  inertia about it, {}: roll {:.1}, pitch {:.1}, yaw {:.1}\n",
            t.mass(m.mass),
            t.length(m.centre.x),
            t.length(m.centre.y),
            t.length(m.centre.z),
            t.unit(),
            t.length_unit(m.centre.z - shape.datum),
            t.inertia_unit(),
            t.inertia_number(d.x_axis.x),
            t.inertia_number(d.y_axis.y),
            t.inertia_number(d.z_axis.z)
        )
    };
    out += "\n";
    out += &mass(&format!("frame ({})", s.frame_counts()), &r.frame);
    out += &format!("{}: {}\n", s.cut_counts(), t.mass(s.cut_kg));
    if !shape.bodies.is_empty() {
        out += &mass("with masses, wheels and occupants", &r.laden);
    }
    out += &skins(&r, &t);
    out += &curves(&r, &t);
    out += &room(&r, &t);
    load::print(&out);
    Ok(ExitCode::SUCCESS)
}

/// The skins, each with the tube that comes nearest to it.
fn skins(r: &review::Review, t: &Text) -> String {
    let list = &r.shape.skins.list;
    let rows = list.iter().map(|s| {
        let near = r.skins.iter().filter(|n| n.skin == s.name).min_by(|a, b| a.distance.total_cmp(&b.distance));
        let cell = |f: &dyn Fn(&shape::skins::Near) -> String| near.map_or("-".to_owned(), f);
        vec![
            s.name.clone(),
            s.surface.triangles().len().to_string(),
            if s.hard { "hard" } else { "soft" }.to_owned(),
            t.fine_number(s.gap),
            cell(&|n| t.fine_number(n.distance)),
            cell(&|n| n.tube.clone()),
        ]
    });
    let unit = t.unit();
    let head = ["skin", "triangles", "", &format!("gap {unit}"), &format!("nearest {unit}"), "tube"];
    let mut out = table(&head, &[1, 3, 4], rows);
    if !out.is_empty() {
        out.insert(0, '\n');
    }
    for m in &r.shape.skins.missing {
        let s = &r.shape.design.skins[m.id];
        out += &format!("\nskin {} can't be used: {}: {}\n", s.name, s.file, m.why);
    }
    out
}

/// The curves in a line each.
fn curves(r: &Review, t: &Text) -> String {
    let all = review::curves::of(r);
    let rows = all.iter().flatten().map(|b| {
        let chain = b.chain();
        vec![
            b.curve.clone(),
            b.die.clone(),
            t.fine_number(b.within),
            chain.map_or("-".to_owned(), |x| x.bends.to_string()),
            chain.map_or("-".to_owned(), |x| t.fine_number(x.deviation)),
            b.followed.iter().map(|f| f.tube.as_str()).collect::<Vec<_>>().join(", "),
        ]
    });
    let unit = t.unit();
    let head = ["curve", "die", &format!("tolerance {unit}"), "bends", &format!("off by {unit}"), "tubes along it"];
    let mut out = table(&head, &[2, 3, 4], rows);
    if !out.is_empty() {
        out.insert(0, '\n');
    }
    for why in all.iter().filter_map(|b| b.as_ref().err()) {
        out += &format!("\n{why}\n");
    }
    out
}

/// Tubes listed for each person.
const NEAREST: usize = 5;

/// How near people come to tubes, and the ways out.
fn room(r: &Review, t: &Text) -> String {
    let mut out = String::new();
    let rows: Vec<Vec<String>> = r
        .room
        .occupants
        .iter()
        .flat_map(|o| {
            let near = o.near.iter().take(NEAREST).map(|n| {
                let at = format!("{}, {}, {}", t.length(n.at.x), t.length(n.at.y), t.length(n.at.z));
                vec![o.name.clone(), n.part.to_owned(), n.tube.clone(), t.length(n.padded), at]
            });
            let lines = o.lines.iter().map(|l| {
                let end = if l.foot { "foot" } else { "top" };
                let line = format!("line {} top to {} {end}", l.hoop, l.other);
                vec![o.name.clone(), "helmet".to_owned(), line, t.length(l.distance), String::new()]
            });
            near.chain(lines)
        })
        .collect();
    if !rows.is_empty() {
        let padding = r.shape.design.room.padding;
        let padded =
            if padding > 0.0 { format!(", less {} of padding", t.length_unit(padding)) } else { String::new() };
        out += &format!("\nnearest to people{padded}\n");
        out += &table(&["who", "part", "tube", &format!("distance {}", t.unit()), "at x, y, z"], &[3], rows);
    }
    if !r.room.openings.is_empty() {
        let [wide, high] = r.shape.design.room.opening;
        out += &format!(
            "\nways out: the largest ellipse of a person's proportions ({} x {} {}), no ground in the way\n",
            t.length(wide),
            t.length(high),
            t.unit()
        );
        out += &table(
            &["opening", "closed by", "width", "height", "a person"],
            &[2, 3],
            r.room.openings.iter().map(|o| {
                let scale = o.person.map_or(0.0, |f| f.scale);
                let closed = match o.closure {
                    design::Closure::Open => "nothing",
                    design::Closure::Breaks => "a panel that breaks",
                    design::Closure::Lifts => "a panel that lifts",
                };
                let passes = if o.passes { "passes" } else { "does not pass" };
                vec![
                    o.name.clone(),
                    closed.to_owned(),
                    t.length(scale * wide),
                    t.length(scale * high),
                    passes.to_owned(),
                ]
            }),
        );
    }
    if !out.is_empty() {
        out += "\nA drawn person is no fitting: try the seat, belts on and helmet on. Local rules and an inspector prevail.\n";
    }
    out
}
