//! Drawings as tables: lines by their two ends, or points and which of them are joined.
//!
//! The columns tell which it is; `layer` (or `section`) and `name` may be among them:
//!
//! - `x1 y1 z1 x2 y2 z2`: a straight line in each row;
//! - `line x y z`: rows of one `line` are the points of a polyline, in order;
//! - `name x y z`: points, for a second table with
//! - `from to`: a line between two of them in each row.

use design::Problem;
use design::csv::{Field, Row, Table};
use drawing::{Drawing, Drawn, Form, MOST_SPANS, Span};
use geometry::DVec3;
use rustc_hash::FxHashMap;

/// So many ends without a point are told one by one.
const MOST_MISSING: usize = 20;

/// Lines between named points, before all tables are read.
struct Joined {
    text: usize,
    from: Field,
    to: Field,
    drawn: Drawn,
}

/// Reads tables that belong together.
///
/// # Errors
/// Problems, each with the index of the table that it is in.
pub fn read(tables: &[&str]) -> Result<Drawing, Vec<(usize, Problem)>> {
    let mut out = Drawing::default();
    let mut points: FxHashMap<String, DVec3> = FxHashMap::default();
    let mut joined = Vec::new();
    let mut problems = Vec::new();
    for (k, text) in tables.iter().enumerate() {
        match design::csv::read(text) {
            Ok(table) => one(k, &table, &mut out, &mut points, &mut joined, &mut problems),
            Err(list) => problems.extend(list.into_iter().map(|p| (k, p))),
        }
    }
    let mut missing = 0;
    for j in joined {
        let at = |f: &Field| points.get(&f.text).copied();
        for f in [&j.from, &j.to] {
            if at(f).is_none() {
                missing += 1;
                if missing > MOST_MISSING {
                    continue;
                }
                let near = design::nearest(&f.text, points.keys().map(String::as_str));
                let help =
                    near.map_or("name it in a table with name, x, y and z".into(), |n| format!("did you mean `{n}`?"));
                let message = format!("there is no point `{}`", f.text);
                problems
                    .push((j.text, Problem::error(message, f.span.clone(), "not a point of the tables").help(help)));
            }
        }
        if let (Some(from), Some(to)) = (at(&j.from), at(&j.to)) {
            out.drawn.push(Drawn { form: Form::Spans(vec![Span::Line { from, to }]), ..j.drawn });
        }
    }
    if missing > MOST_MISSING {
        let message = format!("{} more ends are no points of the tables", missing - MOST_MISSING);
        problems.push((0, Problem::error(message, 0..0, "")));
    }
    if problems.is_empty() && out.drawn.is_empty() {
        let help = "add a table with the columns from and to, or give each row a `line`";
        let what = if points.is_empty() { "the table has no rows" } else { "points alone make no tubes" };
        problems.push((0, Problem::error(what, 0..0, "").help(help)));
    }
    if problems.is_empty() { Ok(out) } else { Err(problems) }
}

/// Reads one table.
fn one(
    k: usize,
    table: &Table,
    out: &mut Drawing,
    points: &mut FxHashMap<String, DVec3>,
    joined: &mut Vec<Joined>,
    problems: &mut Vec<(usize, Problem)>,
) {
    let mut column = |name: &str| {
        table.column(name).unwrap_or_else(|p| {
            problems.push((k, p));
            None
        })
    };
    let all = |names: [Option<usize>; 3]| match names {
        [Some(x), Some(y), Some(z)] => Some([x, y, z]),
        _ => None,
    };
    let first = all(["x1", "y1", "z1"].map(&mut column));
    let second = all(["x2", "y2", "z2"].map(&mut column));
    let at = all(["x", "y", "z"].map(&mut column));
    let (from, to) = (column("from"), column("to"));
    let (line, name) = (column("line"), column("name"));
    let layer = column("layer").or_else(|| column("section"));
    let known = ["x1", "y1", "z1", "x2", "y2", "z2", "x", "y", "z", "from", "to", "line", "name", "layer", "section"];
    for f in table.others(&known) {
        out.left_out.push(drawing::LeftOut { what: format!("column called {}", f.text), count: 1, line: 1 });
    }
    let text = |row: &Row, c: Option<usize>| c.and_then(|c| row.get(c)).map(|f| f.text.clone());
    let drawn = |row: &Row, form: Form| Drawn {
        layer: text(row, layer).unwrap_or_else(|| "tube".into()),
        name: text(row, name),
        tags: Vec::new(),
        form,
        line: row.line,
    };
    let mut lines: FxHashMap<String, usize> = FxHashMap::default();
    for row in &table.rows {
        if out.drawn.len() + joined.len() > MOST_SPANS {
            problems.push((k, Problem::error(format!("more than {MOST_SPANS} lines"), row.span(), "")));
            return;
        }
        let mut place = |c: [usize; 3]| place(table, row, c).map_err(|p| problems.push((k, p))).ok();
        if let (Some(a), Some(b)) = (first, second) {
            if let (Some(from), Some(to)) = (place(a), place(b)) {
                out.drawn.push(drawn(row, Form::Spans(vec![Span::Line { from, to }])));
            }
        } else if let (Some(f), Some(t)) = (from, to) {
            match (row.get(f), row.get(t)) {
                (Some(from), Some(to)) => {
                    let drawn = drawn(row, Form::Spans(Vec::new()));
                    joined.push(Joined { text: k, from: from.clone(), to: to.clone(), drawn });
                }
                _ => problems
                    .push((k, Problem::error("a line needs `from` and `to`", row.span(), "one of them is empty"))),
            }
        } else if let (Some(at), Some(line)) = (at, line) {
            let (Some(p), Some(id)) = (place(at), row.get(line)) else { continue };
            let i = *lines.entry(id.text.clone()).or_insert(out.drawn.len());
            if i == out.drawn.len() {
                out.drawn.push(drawn(row, Form::Spans(vec![Span::Line { from: p, to: p }])));
            } else if let Form::Spans(spans) = &mut out.drawn[i].form {
                match &mut spans[..] {
                    // The first span waits for its second point.
                    [Span::Line { from, to }] if from == to => *to = p,
                    _ => {
                        let from = spans[spans.len() - 1].at(1.0);
                        spans.push(Span::Line { from, to: p });
                    }
                }
            }
        } else if let Some(at) = at {
            let Some(p) = place(at) else { continue };
            if let Some(name) = text(row, name) {
                out.places.push((name.clone(), p));
                if points.insert(name.clone(), p).is_some() {
                    let message = format!("two points are called `{name}`");
                    problems.push((
                        k,
                        Problem::error(message, row.span(), "the second").help("give one of them another name"),
                    ));
                }
            }
        } else {
            let help = "name them: x1 y1 z1 x2 y2 z2, or line x y z, or name x y z in one table and from to in another";
            let what = "the columns do not tell what is drawn";
            problems
                .push((k, Problem::error(what, table.header.first().map_or(0..0, |f| f.span.clone()), "").help(help)));
            return;
        }
    }
}

fn place(table: &Table, row: &Row, columns: [usize; 3]) -> Result<DVec3, Problem> {
    let mut v = [0.0; 3];
    for (v, c) in v.iter_mut().zip(columns) {
        let Some(f) = row.get(c) else {
            let name = table.header.get(c).map_or("", |f| f.text.as_str());
            return Err(Problem::error(format!("there is nothing under {name}"), row.span(), "in this row"));
        };
        match table.pointed(&f.text).parse::<f64>() {
            Ok(x) if x.is_finite() => *v = x,
            _ => return Err(Problem::error(format!("`{}` is no number", f.text), f.span.clone(), "a coordinate")),
        }
    }
    Ok(DVec3::from(v))
}
