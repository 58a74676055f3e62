//! From the sheet to a network, and from its answer back to the sheet's names.

use std::collections::BTreeMap;

use adjust::{Answer, Axis, Hold, Kind, Network, Observation, Point, Row, Setup, Tilt};
use design::measured::{Measured, Spot, Tool};
use geometry::DVec3;
use shape::Shape;

use crate::spots::{Located, locate, point_name};
use crate::{Doubt, Fate, Found, Loose, Place, Trouble};

/// A loose direction along a line of which less than this lies in it leaves the line's length known.
pub(crate) const ALONG: f64 = 1e-3;

/// A network, and what its numbers mean.
#[derive(Clone, Debug)]
pub(crate) struct Net {
    pub network: Network,
    /// For each point: whether it is a mark, and the tube that it is on.
    pub marks: Vec<Option<usize>>,
    /// For each reading of the sheet: its number in the network.
    numbers: Vec<Option<usize>>,
    troubles: Vec<Trouble>,
    by_name: BTreeMap<String, usize>,
}

impl Net {
    pub(crate) fn new(shape: &Shape, m: &Measured) -> Net {
        let mut net = Net {
            network: Network::default(),
            marks: Vec::new(),
            numbers: Vec::new(),
            troubles: Vec::new(),
            by_name: BTreeMap::new(),
        };
        for r in &m.readings {
            let number = if r.used { net.reading(shape, m, r) } else { None };
            net.numbers.push(number);
        }
        for h in &m.held {
            let name = point_name(shape, &h.of);
            let Some(&k) = net.by_name.get(&name) else {
                net.trouble(
                    &format!("held {}", h.name),
                    format!("{name} is held, but nothing was measured to it"),
                    "measure something to it, or take the entry out",
                );
                continue;
            };
            let hold = h.good_to.map_or(Hold::Fixed, Hold::Near);
            let holds = &mut net.network.points[k].hold;
            holds.iter_mut().zip(h.axes).filter(|x| x.1).for_each(|x| *x.0 = hold);
        }
        net.network.setups =
            m.levels.iter().map(|(name, z)| Setup { name: name.clone(), level: Some(shape.datum + z) }).collect();
        net.network.tilt = if m.set_level { Tilt::Level } else { Tilt::Unknown };
        net
    }

    fn trouble(&mut self, about: &str, what: String, help: &str) {
        self.troubles.push(Trouble { about: about.to_owned(), what, help: help.to_owned() });
    }

    fn reading(&mut self, shape: &Shape, m: &Measured, r: &design::measured::Reading) -> Option<usize> {
        let mut spots = Vec::new();
        for s in &r.at {
            match locate(shape, &m.marks, s) {
                Ok(l) => spots.push(l),
                Err(e) => {
                    self.trouble(&r.title(), e.what, &e.help);
                    return None;
                }
            }
        }
        let name = |k: usize| spots[k].name.clone();
        let (from, to) = (name(0), if spots.len() > 1 { name(1) } else { String::new() });
        let kind = match r.tool {
            Tool::Tape => Kind::Distance { from, to },
            Tool::LevelTape => Kind::LevelDistance { from, to },
            Tool::Height => Kind::Height { point: from, setup: r.over.clone().unwrap_or_default() },
            Tool::Rise => Kind::Rise { from, to },
            Tool::PlumbX => Kind::Offset { from, to, along: Axis::X },
            Tool::PlumbY => Kind::Offset { from, to, along: Axis::Y },
            Tool::String => Kind::FromString { point: name(0), from: name(1), to: name(2) },
            Tool::Finder => Kind::Slope { from, to },
            Tool::Bevel => Kind::Bevel { at: name(0), one: name(1), other: name(2) },
        };
        let marks = spots.iter().map(|s| s.arm).collect();
        for s in spots {
            self.point(s);
        }
        let number = self.network.observations.len();
        self.network.observations.push(Observation {
            name: r.title(),
            kind,
            value: r.reads,
            sigma: r.good_to,
            add: r.add,
            marks,
        });
        Some(number)
    }

    fn point(&mut self, s: Located) {
        if !self.by_name.contains_key(&s.name) {
            self.by_name.insert(s.name.clone(), self.network.points.len());
            self.network.points.push(Point::free(&s.name, s.at));
            self.marks.push(s.tube);
        }
    }

    /// The number of a measured point or mark.
    pub(crate) fn number(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).copied()
    }

    /// How many readings name each point.
    fn named(&self) -> Vec<usize> {
        let mut out = vec![0; self.network.points.len()];
        for o in &self.network.observations {
            for name in names(&o.kind) {
                if let Some(k) = self.number(name) {
                    out[k] += 1;
                }
            }
        }
        out
    }

    pub(crate) fn places(&self, a: &Answer, readings: &[Found]) -> Vec<Place> {
        let count = self.named();
        let points = self.network.points.iter().enumerate();
        points
            .filter_map(|(k, p)| {
                let found = a.points[k].as_ref()?;
                Some(Place {
                    name: p.name.clone(),
                    mark: self.marks[k].is_some(),
                    designed: p.at,
                    at: found.at,
                    sigma: found.sigma,
                    ellipsoid: found.ellipsoid,
                    loose: found.loose.clone(),
                    weak: found.weak,
                    ambiguous: a.ambiguous.contains(&k),
                    readings: count[k],
                    doubt: doubt(&p.name, found.loose.is_empty(), readings),
                })
            })
            .collect()
    }

    pub(crate) fn loose(&self, a: &Answer) -> Vec<Loose> {
        let name = |k: usize| self.network.points[k].name.clone();
        a.loose.iter().map(|l| Loose { points: l.points.iter().map(|p| name(p.0)).collect(), ways: l.ways }).collect()
    }

    fn title(&self, row: &Row) -> String {
        match row {
            Row::Observation(k) => self.network.observations[*k].name.clone(),
            Row::Held(p, axis) => format!("held {} in {}", self.network.points[*p].name, ["x", "y", "z"][*axis % 3]),
            Row::Tilt(_) => "level".to_owned(),
        }
    }

    pub(crate) fn contradictions(&self, a: &Answer) -> Vec<Vec<String>> {
        a.contradictions.iter().map(|g| g.iter().map(|r| self.title(r)).collect()).collect()
    }

    pub(crate) fn troubles(&self, a: &Answer) -> Vec<Trouble> {
        let mut out = self.troubles.clone();
        out.extend(a.problems.iter().map(|p| {
            let text = p.to_string();
            let what = text.strip_prefix(&format!("{}: ", p.about)).unwrap_or(&text).to_owned();
            Trouble { about: p.about.clone(), what, help: "mend the reading, or set `leave_out = true`".to_owned() }
        }));
        out
    }

    pub(crate) fn found(&self, shape: &Shape, m: &Measured, a: &Answer) -> Vec<Found> {
        let contradicts: Vec<usize> = a.contradictions.iter().flatten().filter_map(observed).collect();
        m.readings
            .iter()
            .zip(&self.numbers)
            .map(|(r, number)| {
                let seen = number.and_then(|k| a.observations[k].as_ref());
                let fate = match seen {
                    _ if !r.used => Fate::LeftOut,
                    None => Fate::Unusable,
                    Some(s) if !s.used => Fate::Wrong,
                    Some(_) if number.is_some_and(|k| contradicts.contains(&k)) => Fate::Contradicts,
                    Some(s) if s.w.is_none() => Fate::Unchecked,
                    Some(_) => Fate::Agrees,
                };
                Found {
                    title: r.title(),
                    tool: r.tool,
                    at: r.at.iter().map(|s| spot_words(shape, m, s)).collect(),
                    fate,
                    reads: r.reads + r.add,
                    designed: number.and_then(|k| a.designed(k)).unwrap_or(f64::NAN),
                    adjusted: seen.map(|s| s.adjusted),
                    sigma: r.good_to,
                    redundancy: seen.map_or(0.0, |s| s.redundancy),
                    // Of one that was left out: what it was found wrong by.
                    w: number
                        .and_then(|k| a.blunders.iter().find(|b| b.row == Row::Observation(k)))
                        .map_or(seen.and_then(|s| s.w), |b| Some(b.w)),
                    least_found: seen.and_then(|s| s.least_found),
                }
            })
            .collect()
    }
}

/// What speaks against a place.
fn doubt(name: &str, tied: bool, readings: &[Found]) -> Option<Doubt> {
    let to = |fate: Fate| -> Vec<String> {
        let names = |r: &&Found| r.at.iter().any(|at| at.split(' ').next() == Some(name));
        readings.iter().filter(|r| r.fate == fate).filter(names).map(|r| r.title.clone()).collect()
    };
    let contradicted = to(Fate::Contradicts);
    if !contradicted.is_empty() {
        return Some(Doubt::Contradicted(contradicted));
    }
    if !tied {
        return Some(Doubt::Loose);
    }
    let unchecked = to(Fate::Unchecked);
    (!unchecked.is_empty()).then_some(Doubt::Unchecked(unchecked))
}

fn observed(row: &Row) -> Option<usize> {
    if let Row::Observation(k) = row { Some(*k) } else { None }
}

/// `foot~ outside`, as the sheet says it.
fn spot_words(shape: &Shape, m: &Measured, s: &Spot) -> String {
    let mut out = match &s.of {
        design::measured::SpotOf::Point(r) => point_name(shape, r),
        design::measured::SpotOf::Mark(k) => m.marks[*k].name.clone(),
    };
    if let Some(face) = s.face {
        out += " ";
        out += face.word();
    }
    out
}

fn names(kind: &Kind) -> Vec<&str> {
    match kind {
        Kind::Distance { from, to }
        | Kind::LevelDistance { from, to }
        | Kind::Rise { from, to }
        | Kind::Offset { from, to, .. }
        | Kind::Slope { from, to } => vec![from, to],
        Kind::Height { point, .. } | Kind::FromPlane { point, .. } => vec![point],
        Kind::FromString { point, from, to } => vec![point, from, to],
        Kind::Bevel { at, one, other } => vec![at, one, other],
    }
}

/// The designed places of a network's points, m.
pub(crate) fn designed(net: &Net, k: usize) -> DVec3 {
    net.network.points[k].at
}
