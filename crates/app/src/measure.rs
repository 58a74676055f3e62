//! What a phone needs to measure on the car, and the frame as built as it is drawn.

use std::collections::BTreeMap;

use build::Taken;
use design::measured::{LEVEL, Measured, SpotOf, Tool};
use design::{PointId, PointRef, Units};
use fit::Fate;
use geometry::DVec3;
use review::built::Built;
use review::{Review, Text};

use crate::keeper::Looked;
use crate::view::rows;
use crate::wire::{
    BuiltFrame, BuiltLine, BuiltPlace, MeasureFace, MeasureLevel, MeasureNext, MeasurePlace, MeasureRow, MeasureSheet,
    MeasureTool, ReadingFate,
};

/// So many distances to be taken next are enough for a phone.
const NEXT: usize = 6;

/// All of it.
pub fn measure(l: &Looked) -> MeasureSheet {
    let r = &l.review;
    let built = r.built.as_deref();
    let units = built.map_or(r.shape.design.units, |b| b.measured.units);
    let (unit, unit_size) = match units {
        Units::Mm => ("mm", 1e-3),
        Units::In => ("in", 0.0254),
    };
    MeasureSheet {
        head: l.sheet.clone(),
        unit: unit.to_owned(),
        unit_size,
        places: places(r, built.map(|b| &b.measured)),
        levels: built.map_or_else(Vec::new, |b| levels(r, b)),
        readings: built.map_or_else(Vec::new, |b| readings(b, &l.taken)),
        next: built.map_or_else(Vec::new, next),
    }
}

fn places(r: &Review, m: Option<&Measured>) -> Vec<MeasurePlace> {
    let marks = m.map_or(&[][..], |m| &m.marks);
    let faces = |of: &SpotOf| {
        let all = fit::faces(&r.shape, marks, of).into_iter();
        all.map(|(f, arm)| MeasureFace { face: f.word().to_owned(), arm: arm.to_array() }).collect()
    };
    let d = &r.shape.design;
    let points = rows::points(r).into_iter().filter_map(|p| {
        let own = p.name.strip_suffix('~').unwrap_or(&p.name);
        let i = d.points.iter().position(|q| q.name == own)?;
        let of = SpotOf::Point(PointRef { id: PointId(i), twin: p.twin, span: d.points[i].span.clone() });
        let tubes = p.on.into_iter().chain(p.tubes).collect();
        Some(MeasurePlace { name: p.name, mark: false, at: p.at, tubes, faces: faces(&of) })
    });
    let marks = m.into_iter().flat_map(|m| m.marks.iter().enumerate().map(move |(k, mark)| (m, k, mark)));
    let marks = marks.filter_map(|(m, k, mark)| {
        let spot = design::measured::Spot { of: SpotOf::Mark(k), face: None, tube: None };
        let l = fit::locate(&r.shape, &m.marks, &spot).ok()?;
        let tubes = vec![r.shape.tubes[r.shape.index(&mark.on)].name.clone()];
        let at = (l.at + l.arm).to_array();
        // A mark that says its face is there.
        let faces = if mark.face.is_some() { Vec::new() } else { faces(&SpotOf::Mark(k)) };
        Some(MeasurePlace { name: mark.name.clone(), mark: true, at, tubes, faces })
    });
    points.chain(marks).collect()
}

fn levels(r: &Review, b: &Built) -> Vec<MeasureLevel> {
    let mut out: Vec<MeasureLevel> = Vec::new();
    let mut put = |name: &str, plane: Option<f64>| match out.iter_mut().find(|l| l.name == name) {
        Some(l) => l.plane = plane.or(l.plane),
        None => out.push(MeasureLevel { name: name.to_owned(), plane }),
    };
    for (name, _) in &b.measured.levels {
        put(name, None);
    }
    for (entry, x) in b.measured.readings.iter().zip(&b.fit.readings).filter(|(e, _)| e.tool == Tool::Height) {
        // The place's own height, less what the level should read there.
        let place = entry.at.first().and_then(|s| fit::locate(&r.shape, &b.measured.marks, s).ok());
        let plane = place.map(|l| (l.at + l.arm).z - x.designed).filter(|z| z.is_finite());
        put(entry.over.as_deref().unwrap_or(LEVEL), plane);
    }
    out
}

fn tool(t: Tool) -> MeasureTool {
    match t {
        Tool::Tape => MeasureTool::Tape,
        Tool::LevelTape => MeasureTool::LevelTape,
        Tool::Height => MeasureTool::Height,
        Tool::Rise => MeasureTool::Rise,
        Tool::PlumbX => MeasureTool::PlumbX,
        Tool::PlumbY => MeasureTool::PlumbY,
        Tool::String => MeasureTool::String,
        Tool::Finder => MeasureTool::Finder,
        Tool::Bevel => MeasureTool::Bevel,
    }
}

fn fate(f: Fate) -> ReadingFate {
    match f {
        Fate::Agrees => ReadingFate::Agrees,
        Fate::Unchecked => ReadingFate::Unchecked,
        Fate::Wrong => ReadingFate::Wrong,
        Fate::Contradicts => ReadingFate::Contradicts,
        Fate::LeftOut => ReadingFate::LeftOut,
        Fate::Unusable => ReadingFate::Unusable,
    }
}

/// Those that came from phones and pages first, the latest before all; then the others, the last of the sheet first.
fn readings(b: &Built, taken: &BTreeMap<Taken, (String, i64)>) -> Vec<MeasureRow> {
    let known = |v: Option<f64>| v.filter(|v| v.is_finite());
    let rows = b.measured.readings.iter().zip(&b.fit.readings).map(|(entry, x)| {
        let table = entry.tool.table().to_owned();
        let by = taken.get(&Taken { table: table.clone(), name: entry.name.clone() });
        MeasureRow {
            table,
            name: entry.name.clone(),
            tool: tool(entry.tool),
            places: x.at.clone(),
            over: entry.over.clone().filter(|o| o != LEVEL).unwrap_or_default(),
            reads: x.reads,
            designed: known(Some(x.designed)),
            fits: known(x.adjusted),
            fate: fate(x.fate),
            who: by.map_or(String::new(), |b| b.0.clone()),
            at: by.map(|b| b.1),
        }
    });
    let mut out: Vec<MeasureRow> = rows.collect();
    out.reverse();
    out.sort_by_key(|r| std::cmp::Reverse(r.at));
    out
}

fn next(b: &Built) -> Vec<MeasureNext> {
    let all = b.fit.next.iter().take(NEXT);
    all.map(|n| MeasureNext { between: n.between.clone(), length: n.length }).collect()
}

/// Ways of points are drawn at most so much of the frame's length long.
const LONGEST: f64 = 0.12;

/// Times that are easily thought with, the largest first.
const TIMES: [f64; 6] = [50.0, 20.0, 10.0, 5.0, 2.0, 1.0];

/// The frame as built; `None` if nothing is laid.
pub fn built(r: &Review) -> Option<BuiltFrame> {
    let b = r.built.as_deref()?;
    let t = Text::new(&r.shape.design);
    let own = b.review.as_ref();
    let tubes = own.map_or_else(Vec::new, |own| {
        let line = |t: &shape::Tube| BuiltLine {
            name: t.name.clone(),
            stands: b.fit.standing.contains(&t.name),
            line: rows::line(t),
        };
        own.shape.tubes.iter().map(line).collect()
    });
    let far = b.fit.places.iter().map(|p| p.shift().length()).fold(0.0, f64::max);
    let room = LONGEST * extent(&b.fit.places.iter().map(|p| p.designed).collect::<Vec<_>>());
    let scale = TIMES.into_iter().find(|k| k * far <= room).unwrap_or(1.0);
    let places = b.fit.places.iter().map(|p| BuiltPlace {
        name: p.name.clone(),
        designed: p.designed.to_array(),
        at: p.at.to_array(),
        known: p.loose.is_empty() && !p.weak && !p.ambiguous,
        off: t.fine(p.shift().length()),
        words: words(p, &t),
    });
    Some(BuiltFrame { scale, tubes, places: places.collect() })
}

fn extent(points: &[DVec3]) -> f64 {
    let low = points.iter().copied().reduce(DVec3::min).unwrap_or_default();
    let high = points.iter().copied().reduce(DVec3::max).unwrap_or_default();
    (high - low).max_element()
}

/// `3.2 forward, 1 to the left, 0.4 down, ± 0.8 mm`.
fn words(p: &fit::Place, t: &Text) -> String {
    let d = p.shift();
    let ways = [(d.x, "forward", "back"), (d.y, "to the left", "to the right"), (d.z, "up", "down")];
    let part = |(v, plus, minus): (f64, &str, &str)| {
        let s = t.fine_number(v.abs());
        (s != "0").then(|| format!("{s} {}", if v > 0.0 { plus } else { minus }))
    };
    let parts: Vec<String> = ways.into_iter().filter_map(part).collect();
    let way = if parts.is_empty() { "as designed".to_owned() } else { parts.join(", ") };
    match () {
        () if !p.loose.is_empty() => format!("{way}; not measured in every direction"),
        () if p.ambiguous => format!("{way}; it could be on the other side"),
        () if p.weak => format!("{way}; hardly known"),
        () => format!("{way}; ± {}", t.fine(p.ellipsoid.semi[0])),
    }
}
