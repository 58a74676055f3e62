//! From text to [`Measured`].

use std::sync::Arc;

use super::{Face, Held, LEVEL, Mark, Measured, Reading, Spot, SpotOf, Tool, keys, usual};
use crate::keys::Top;
use crate::model::{Design, PointId, PointRef, TubeId, TubeRef, Units};
use crate::problem::Problem;
use crate::read::{Fields, Item, Reader, parse};
use crate::suggest::nearest;
use toml::Spanned;

/// Reads a sheet for a design. What is wrong in an entry leaves that entry out and is told.
///
/// # Errors
/// What is wrong with the syntax: nothing can be read then.
pub fn read(text: &str, design: &Design) -> Result<(Measured, Vec<Problem>), Vec<Problem>> {
    let (filled, empty) = not_filled_in(text);
    let root = parse(&filled)?;
    let units = root.get("sheet").and_then(|d| d.get_ref().get("units")).and_then(|u| u.get_ref().as_str());
    let units = match units {
        Some("in") => Units::In,
        Some("mm") => Units::Mm,
        _ => design.units,
    };
    let mut reader = Reader::of(&root, keys::TOPS, "measured sheet", units);
    reader.check_tops();
    let mut s = Sheet { r: reader, design, marks: Vec::new(), empty };
    let out = s.measured(text, units);
    Ok((out, s.r.into_problems()))
}

struct Sheet<'a, 'd> {
    r: Reader<'a>,
    design: &'d Design,
    /// Names of the marks that can be used.
    marks: Vec<String>,
    /// Where `reads` has no figure yet.
    empty: Vec<usize>,
}

/// How far readings are usually off in this sheet.
#[derive(Clone, Copy)]
struct Usual {
    tape: f64,
    height: f64,
    plumb: f64,
    angle: f64,
}

impl<'a> Sheet<'a, '_> {
    fn measured(&mut self, text: &str, units: Units) -> Measured {
        let head = self.once("sheet");
        let mut out = Measured {
            source: Arc::from(text),
            units,
            by: None,
            note: None,
            standing: None,
            set_level: false,
            marks: Vec::new(),
            levels: Vec::new(),
            held: Vec::new(),
            readings: Vec::new(),
        };
        if let Some(f) = &head {
            self.r.choice(f, "units");
            out.by = self.r.text(f, "by");
            out.note = self.r.text(f, "note");
            out.standing = self.tube(f, "standing");
            out.set_level = self.r.flag(f, "set_level").unwrap_or(false);
        }
        let usual = self.usual();
        for (item, f) in self.r.entries("mark") {
            let mark = self.mark(&item, &f);
            if let Some(mark) = mark {
                self.marks.push(mark.name.clone());
                out.marks.push(mark);
            }
        }
        for (item, f) in self.r.entries("level") {
            let over = self.r.number(&f, "over_datum");
            out.levels.extend(over.map(|z| (item.name.to_owned(), z)));
        }
        for (item, f) in self.r.entries("held") {
            let (of, axes, good_to) = (self.spot(&f, "of"), self.axes(&f), self.r.number(&f, "good_to"));
            let Some(spot) = of else { continue };
            match spot {
                Spot { of: SpotOf::Point(of), face: None, .. } => {
                    out.held.push(Held { name: item.name.to_owned(), of, axes, good_to, span: item.span() });
                }
                _ => self.r.error(
                    f.span_of("of"),
                    format!("{} must name a point of the design", f.what),
                    "a mark, or a face",
                    "name the point alone",
                ),
            }
        }
        for top in keys::TOPS {
            for (item, f) in self.readings_of(top) {
                out.readings.extend(self.reading(&item, &f, &usual));
            }
        }
        // As they stand in the sheet: what was taken together is told together.
        out.readings.sort_by_key(|r| r.span.start);
        out
    }

    fn once(&mut self, name: &str) -> Option<Fields<'a>> {
        let node = self.r.root.get(name)?;
        let top = self.r.top(name)?;
        node.get_ref().is_table().then(|| self.r.open(node, top.table, format!("[{name}]"))).flatten()
    }

    fn readings_of(&mut self, top: &Top) -> Vec<(Item<'a>, Fields<'a>)> {
        if top.table.key("reads").is_some() { self.r.entries(top.name) } else { Vec::new() }
    }

    fn usual(&mut self) -> Usual {
        let f = self.once("good_to");
        let mut of = |key: &str, default: f64| f.as_ref().and_then(|f| self.r.number(f, key)).unwrap_or(default);
        Usual {
            tape: of("tape", usual::TAPE),
            height: of("height", usual::HEIGHT),
            plumb: of("plumb", usual::PLUMB),
            angle: of("angle", usual::ANGLE),
        }
    }

    fn mark(&mut self, item: &Item<'a>, f: &Fields<'a>) -> Option<Mark> {
        let (on, along) = (self.tube(f, "on"), self.r.along(f));
        let face = self.r.choice(f, "face").and_then(Face::of);
        let name = item.name.to_owned();
        if self.design.points.iter().any(|p| p.name == name) {
            let message = format!("mark `{name}` has the name of a point");
            self.r.error(item.key_span.clone(), message, "which of them is meant?", "give the mark another name");
            return None;
        }
        Some(Mark { name, on: on?, along: along?, face, span: item.span() })
    }

    fn axes(&mut self, f: &Fields<'a>) -> [bool; 3] {
        let Some(text) = self.r.text(f, "axes") else { return [true; 3] };
        if text.is_empty() || text.chars().any(|c| !"xyz".contains(c)) {
            let message = format!("`axes` of {} must be some of the letters x, y and z", f.what);
            self.r.error(f.span_of("axes"), message, "other letters", "write \"xyz\"");
        }
        ["x", "y", "z"].map(|a| text.contains(a))
    }

    /// A tube of the design, or its twin.
    fn tube(&mut self, f: &Fields<'a>, key: &str) -> Option<TubeRef> {
        let written = self.r.text(f, key)?;
        let span = f.span_of(key);
        match self.tube_named(&written) {
            Ok((id, twin)) => Some(TubeRef { id, twin, span }),
            Err(help) => {
                let message = format!("`{key}` of {} names tube `{written}`, which is not there", f.what);
                self.r.error(span, message, "no such tube", help);
                None
            }
        }
    }

    fn tube_named(&self, written: &str) -> Result<(TubeId, bool), String> {
        let bare = written.strip_suffix('~');
        let name = bare.unwrap_or(written);
        let tubes = &self.design.tubes;
        match tubes.iter().position(|t| t.name == name) {
            Some(i) if bare.is_some() && !tubes[i].mirror => Err(format!("`{name}` is not mirrored: write \"{name}\"")),
            Some(i) => Ok((TubeId(i), bare.is_some())),
            None => Err(match nearest(name, tubes.iter().map(|t| t.name.as_str())) {
                Some(near) => format!("did you mean `{near}`?"),
                None => "name a tube of the design".to_owned(),
            }),
        }
    }

    /// `foot`, `foot~ outside`, `foot top main_hoop`.
    fn spot(&mut self, f: &Fields<'a>, key: &str) -> Option<Spot> {
        let written = self.r.text(f, key)?;
        let span = f.span_of(key);
        let mut words = written.split_whitespace();
        let name = words.next().unwrap_or("");
        let fail = |s: &mut Self, what: String, label: &str, help: String| {
            s.r.error(span.clone(), format!("`{key}` of {} {what}", f.what), label, help);
            None
        };
        let bare = name.strip_suffix('~');
        let own = bare.unwrap_or(name);
        let of = match self.design.points.iter().position(|p| p.name == own) {
            Some(i) => SpotOf::Point(PointRef { id: PointId(i), twin: bare.is_some(), span: span.clone() }),
            None => match self.marks.iter().position(|m| m == name) {
                Some(i) => SpotOf::Mark(i),
                None => {
                    let all =
                        self.design.points.iter().map(|p| p.name.as_str()).chain(self.marks.iter().map(String::as_str));
                    let help = match nearest(own, all) {
                        Some(near) => format!("did you mean `{near}{}`?", if bare.is_some() { "~" } else { "" }),
                        None => "name a point of the design, or add it as [mark.NAME]".to_owned(),
                    };
                    return fail(self, format!("names `{name}`, which is not there"), "no such point or mark", help);
                }
            },
        };
        let face = match words.next() {
            None => None,
            Some(word) => match Face::of(word) {
                Some(face) => Some(face),
                None => {
                    let help = match nearest(word, keys::FACES.iter().copied()) {
                        Some(near) => format!("did you mean `{near}`?"),
                        None => format!("faces are {}", keys::FACES.join(", ")),
                    };
                    return fail(self, format!("has `{word}` after the point"), "no face of a tube", help);
                }
            },
        };
        let tube = match words.next() {
            None => None,
            Some(word) => match self.tube_named(word) {
                Ok((id, twin)) => Some(TubeRef { id, twin, span: span.clone() }),
                Err(help) => {
                    return fail(self, format!("names tube `{word}`, which is not there"), "no such tube", help);
                }
            },
        };
        if words.next().is_some() {
            let help = "write point, face and tube: \"foot outside main_hoop\"".to_owned();
            return fail(self, "has too many words".to_owned(), "three at most", help);
        }
        Some(Spot { of, face, tube })
    }

    fn reading(&mut self, item: &Item<'a>, f: &Fields<'a>, usual: &Usual) -> Option<Reading> {
        let flag = |s: &mut Self, key: &str| f.table.key(key).is_some() && s.r.flag(f, key) == Some(true);
        let (tool, at, common): (_, &[&str], _) = match top_of(f) {
            "tape" => (if flag(self, "level") { Tool::LevelTape } else { Tool::Tape }, &["from", "to"], usual.tape),
            "height" => (Tool::Height, &["of"], usual.height),
            "rise" => (Tool::Rise, &["from", "to"], usual.height),
            "plumb" => {
                let across = self.r.choice(f, "along") == Some("y");
                (if across { Tool::PlumbY } else { Tool::PlumbX }, &["from", "to"], usual.plumb)
            }
            "string" => (Tool::String, &["of", "from", "to"], usual.tape),
            "finder" => (Tool::Finder, &["from", "to"], usual.angle),
            _ => (Tool::Bevel, &["at", "one", "other"], usual.angle),
        };
        if let Some(at) = f.get("reads").map(Spanned::span).filter(|s| self.empty.contains(&s.start)) {
            let (message, help) =
                (format!("`reads` of {} has no figure yet", f.what), "write what was read, or take the line out");
            self.r.error(at, message, "not filled in", help);
            return None;
        }
        let spots: Vec<Option<Spot>> = at.iter().map(|key| self.spot(f, key)).collect();
        let reads = self.r.number(f, "reads");
        let add = if f.table.key("add").is_some() { self.r.number(f, "add") } else { None };
        let good_to = self.r.number(f, "good_to");
        // What is said of a reading and can't be read leaves it out: without it the reading is another one.
        let said = |key: &str, v: Option<f64>| f.table.key(key).is_none() || !f.has(key) || v.is_some();
        if !said("add", add) || !said("good_to", good_to) {
            return None;
        }
        let good_to = good_to.unwrap_or(common);
        let over = (tool == Tool::Height).then(|| self.r.text(f, "over").unwrap_or_else(|| LEVEL.to_owned()));
        let used = !flag(self, "leave_out");
        let along = tool.table() != "plumb" || f.has("along");
        Some(Reading {
            name: item.name.to_owned(),
            tool,
            at: spots.into_iter().collect::<Option<_>>()?,
            over,
            reads: reads.filter(|_| along)?,
            add: add.unwrap_or(0.0),
            good_to,
            used,
            span: item.span(),
        })
    }
}

/// The text with a figure wherever `reads =` has none, and where those stand: a line of the sheet to fill in whose # was taken
/// off before its figure was written. Nothing else moves: two blanks or what follows them make room for it.
fn not_filled_in(text: &str) -> (String, Vec<usize>) {
    const KEY: &str = "reads";
    let (mut out, mut empty) = (text.to_owned(), Vec::new());
    let mut from = 0;
    while let Some(k) = text[from..].find(KEY).map(|k| from + k) {
        from = k + KEY.len();
        let before = &text[..k];
        let line = &before[before.rfind('\n').map_or(0, |n| n + 1)..];
        let rest = &text[from..];
        let blanks = |s: &str| s.len() - s.trim_start_matches([' ', '\t']).len();
        let eq = blanks(rest);
        let own = before.chars().next_back().is_none_or(|c| !c.is_alphanumeric() && c != '_' && c != '"');
        if !own || line.contains('#') || !rest[eq..].starts_with('=') {
            continue;
        }
        let gap = blanks(&rest[eq + 1..]);
        let next = rest[eq + 1 + gap..].chars().next();
        if gap > 0 && next.is_none_or(|c| "},#\r\n".contains(c)) {
            let at = from + eq + 1;
            // One byte for another: all places stay where they are.
            out.replace_range(at..=at, "1");
            empty.push(at);
        }
    }
    (out, empty)
}

/// The table of the sheet that an entry stands in.
fn top_of(f: &Fields<'_>) -> &'static str {
    keys::TOPS.iter().find(|t| std::ptr::eq(t.table, f.table)).map_or("", |t| t.name)
}
