//! From names to numbers: what can be used, what can't, and which unknowns there are.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::{FRAC_PI_2, PI};

use glam::DVec3;

use crate::model::{AT_POINTS, Level, Marks, Sight, State, read};
use crate::network::{Hold, Kind, Network, Problem, Tilt, Why};

/// Slopes nearer to upright, bevels nearer to straight or shut than this are left out: a degree, about what a frame may be
/// out before anyone adjusts it by such a reading.
const FOLD: f64 = PI / 180.0;

/// Points nearer than this part of the frame's size are at one place: far under what a shop measures, far over rounding.
const ONE_PLACE: f64 = 1e-9;

/// Lengths over this, m or rad, are no numbers of a frame: their squares over the finest deviation would still be far from
/// overflow.
const MOST: f64 = 1e9;

/// Standard deviations under this, m or rad, say "exact", which only [`Hold::Fixed`] can be.
const FINEST: f64 = 1e-15;

/// Where a row comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Source {
    /// A measurement, by its number in the network.
    Observed(usize),
    /// A coordinate held near its place: point, axis.
    Held(usize, usize),
    /// A part of the tilt held near its value.
    Tilt(usize),
}

/// A measurement that can be used.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub sight: Sight,
    pub marks: Marks,
    pub value: f64,
    pub sigma: f64,
    pub source: Source,
}

/// Everything by number.
#[derive(Clone, Debug)]
pub(crate) struct Ready {
    /// Number in the network's list for each point here.
    pub outer: Vec<usize>,
    /// Names of the set-ups.
    pub setups: Vec<String>,
    /// Which set-ups' heights are unknown.
    pub rows: Vec<Row>,
    /// State in the design.
    pub start: State,
    /// Largest distance from the middle of the points, doubled, m.
    pub size: f64,
    /// Number of the unknown for each coordinate.
    pub coordinate: Vec<[Option<usize>; 3]>,
    /// Number of the unknown for each set-up.
    pub level: Vec<Option<usize>>,
    /// Numbers of the unknowns of the tilt. They are in metres at the frame's size.
    pub tilt: Option<[usize; 2]>,
    /// How many unknowns are coordinates; these come first.
    pub coordinates: usize,
    /// How many unknowns there are.
    pub unknowns: usize,
    pub problems: Vec<Problem>,
}

fn problem(about: &str, why: Why) -> Problem {
    Problem { about: about.into(), why }
}

fn proper(sigma: f64) -> bool {
    (FINEST..=MOST).contains(&sigma)
}

fn usual(x: f64) -> bool {
    x.abs() <= MOST
}

impl Ready {
    pub(crate) fn new(network: &Network) -> Ready {
        let mut problems = Vec::new();
        let mut number: BTreeMap<&str, usize> = BTreeMap::new();
        let (mut outer, mut places, mut holds) = (Vec::new(), Vec::new(), Vec::new());
        let mut taken = BTreeSet::new();
        for (i, p) in network.points.iter().enumerate() {
            if !taken.insert(p.name.as_str()) {
                problems.push(problem(&p.name, Why::PointTwice));
            } else if !p.at.to_array().into_iter().all(usual) {
                problems.push(problem(&p.name, Why::NoPlace));
            } else {
                number.insert(&p.name, places.len());
                outer.push(i);
                places.push(p.at);
                holds.push(p.hold.map(|h| match h {
                    Hold::Near(s) if !proper(s) => None,
                    h => Some(h),
                }));
                if holds.last().is_some_and(|h| h.contains(&None)) {
                    problems.push(problem(&p.name, Why::BadHold));
                }
            }
        }
        let middle = places.iter().sum::<DVec3>() / (places.len().max(1)) as f64;
        let far = places.iter().map(|p| p.distance(middle)).fold(0.0, f64::max);
        let size = if far > 0.0 { 2.0 * far } else { 1.0 };
        let (mut tilt, mut tilt_free, mut tilt_near) = ([0.0; 2], false, None);
        match network.tilt {
            Tilt::Level => {}
            Tilt::Known(t) if t.into_iter().all(usual) => tilt = t,
            Tilt::Near(t, s) if t.into_iter().all(usual) && proper(s) => {
                (tilt, tilt_free, tilt_near) = (t, true, Some(s));
            }
            Tilt::Unknown => tilt_free = true,
            Tilt::Known(_) | Tilt::Near(..) => {
                problems.push(problem("tilt", Why::BadLevel));
                tilt_free = true;
            }
        }
        let mut ready = Ready {
            outer,
            setups: Vec::new(),
            rows: Vec::new(),
            start: State { points: places, levels: Vec::new(), tilt },
            size,
            coordinate: Vec::new(),
            level: Vec::new(),
            tilt: None,
            coordinates: 0,
            unknowns: 0,
            problems,
        };
        for h in &holds {
            let own = h.map(|h| (h != Some(Hold::Fixed)).then(|| ready.unknown()));
            ready.coordinate.push(own);
        }
        ready.coordinates = ready.unknowns;
        let mut known: BTreeMap<&str, f64> = BTreeMap::new();
        for s in &network.setups {
            match s.level {
                Some(l) if usual(l) => {
                    known.insert(&s.name, l);
                }
                Some(_) => ready.problems.push(problem(&s.name, Why::BadLevel)),
                None => {}
            }
        }
        let mut names = Names { points: &number, known: &known, setups: BTreeMap::new() };
        for (i, o) in network.observations.iter().enumerate() {
            let mut marks = AT_POINTS;
            marks.iter_mut().zip(&o.marks).for_each(|(m, by)| *m = *by);
            let made = names
                .sight(&o.kind, &mut ready)
                .and_then(|sight| ready.usable(&sight, &marks, o.value + o.add, o.sigma).map(|()| sight));
            match made {
                Ok(sight) => {
                    ready.rows.push(Row {
                        sight,
                        marks,
                        value: o.value + o.add,
                        sigma: o.sigma,
                        source: Source::Observed(i),
                    });
                }
                Err(why) => ready.problems.push(problem(&o.name, why)),
            }
        }
        for (p, h) in holds.iter().enumerate() {
            for (k, h) in h.iter().enumerate() {
                if let Some(Hold::Near(sigma)) = *h {
                    let (sight, value) = (Sight::Coordinate(p, k), ready.start.points[p][k]);
                    ready.rows.push(Row { sight, marks: AT_POINTS, value, sigma, source: Source::Held(p, k) });
                }
            }
        }
        // Without anything measured against gravity there is nothing to find.
        if tilt_free && ready.rows.iter().any(|r| r.sight.by_gravity()) {
            ready.tilt = Some([ready.unknown(), ready.unknown()]);
            if let Some(sigma) = tilt_near {
                for (k, value) in tilt.into_iter().enumerate() {
                    ready.rows.push(Row {
                        sight: Sight::TiltPart(k),
                        marks: AT_POINTS,
                        value,
                        sigma,
                        source: Source::Tilt(k),
                    });
                }
            }
        }
        ready.guess_levels();
        ready
    }

    fn unknown(&mut self) -> usize {
        self.unknowns += 1;
        self.unknowns - 1
    }

    /// The same with every measurement taken at its points themselves.
    pub(crate) fn at_points(&self) -> Ready {
        let mut out = self.clone();
        out.rows.iter_mut().for_each(|r| r.marks = AT_POINTS);
        out
    }

    /// Whether a measurement can be used at all.
    fn usable(&self, sight: &Sight, marks: &Marks, value: f64, sigma: f64) -> Result<(), Why> {
        if !usual(value) || !marks.iter().flat_map(|m| m.to_array()).all(usual) {
            return Err(Why::NotANumber);
        }
        if !proper(sigma) {
            return Err(Why::BadSigma);
        }
        let level = Level::new(self.start.tilt);
        let near = ONE_PLACE * self.size;
        let own = sight.points();
        let place = |p: usize| {
            let slot = own.iter().position(|q| *q == p).unwrap_or(0);
            self.start.points[p] + marks[slot]
        };
        let way = |a: usize, b: usize| place(b) - place(a);
        let along = |v: DVec3| (v - level.up() * level.up().dot(v)).length();
        let designed = read(sight, marks, &self.start, &level).value;
        match *sight {
            Sight::Distance(..) | Sight::LevelDistance(..) if value <= 0.0 => Err(Why::NoLength),
            Sight::Distance(a, b) if way(a, b).length() <= near => Err(Why::OnePlace),
            Sight::LevelDistance(a, b) if along(way(a, b)) <= near => Err(Why::OnePlace),
            Sight::FromString(_, a, b) if along(way(a, b)) <= near => Err(Why::OnePlace),
            Sight::Slope(..) if value.abs() > FRAC_PI_2 => Err(Why::NoSuchAngle),
            Sight::Slope(a, b) if way(a, b).length() <= near => Err(Why::OnePlace),
            Sight::Slope(..) if designed.abs() > FRAC_PI_2 - FOLD => Err(Why::Folds),
            Sight::Bevel(..) if !(0.0..=PI).contains(&value) => Err(Why::NoSuchAngle),
            Sight::Bevel(o, a, b) if way(o, a).length().min(way(o, b).length()) <= near => Err(Why::OnePlace),
            Sight::Bevel(..) if !(FOLD..=PI - FOLD).contains(&designed) => Err(Why::Folds),
            _ => Ok(()),
        }
    }

    /// Unknown heights of set-ups begin where the designed places put them.
    fn guess_levels(&mut self) {
        let level = Level::new(self.start.tilt);
        let mut sums = vec![(0.0, 0.0); self.level.len()];
        for r in &self.rows {
            if let Sight::Height(p, k) = r.sight {
                sums[k].0 += (self.start.points[p] + r.marks[0]).dot(level.up()) - r.value;
                sums[k].1 += 1.0;
            }
        }
        for (k, (sum, count)) in sums.into_iter().enumerate() {
            if self.level[k].is_some() && count > 0.0 {
                self.start.levels[k] = sum / count;
            }
        }
    }

    /// The state after a step of the unknowns.
    pub(crate) fn moved(&self, s: &State, step: &[f64]) -> State {
        let mut out = s.clone();
        for (p, c) in self.coordinate.iter().enumerate() {
            for (k, u) in c.iter().enumerate() {
                if let Some(u) = *u {
                    out.points[p][k] += step[u];
                }
            }
        }
        for (k, u) in self.level.iter().enumerate() {
            if let Some(u) = *u {
                out.levels[k] += step[u];
            }
        }
        if let Some(t) = self.tilt {
            for k in 0..2 {
                out.tilt[k] += step[t[k]] / self.size;
            }
        }
        out
    }

    /// The unknowns' difference from one state to another.
    pub(crate) fn between(&self, from: &State, to: &State) -> Vec<f64> {
        let mut out = vec![0.0; self.unknowns];
        for (p, c) in self.coordinate.iter().enumerate() {
            for (k, u) in c.iter().enumerate() {
                if let Some(u) = *u {
                    out[u] = to.points[p][k] - from.points[p][k];
                }
            }
        }
        for (k, u) in self.level.iter().enumerate() {
            if let Some(u) = *u {
                out[u] = to.levels[k] - from.levels[k];
            }
        }
        if let Some(t) = self.tilt {
            for k in 0..2 {
                out[t[k]] = (to.tilt[k] - from.tilt[k]) * self.size;
            }
        }
        out
    }

    /// Whether an unknown is a coordinate of a point.
    pub(crate) fn is_coordinate(&self, u: usize) -> bool {
        u < self.coordinates
    }
}

/// Names on the way to numbers.
struct Names<'a> {
    points: &'a BTreeMap<&'a str, usize>,
    known: &'a BTreeMap<&'a str, f64>,
    setups: BTreeMap<String, usize>,
}

impl Names<'_> {
    fn point(&self, name: &str) -> Result<usize, Why> {
        self.points.get(name).copied().ok_or_else(|| Why::NoPoint(name.into()))
    }

    fn two(&self, a: &str, b: &str) -> Result<(usize, usize), Why> {
        let (a, b) = (self.point(a)?, self.point(b)?);
        if a == b { Err(Why::SamePoint) } else { Ok((a, b)) }
    }

    fn three(&self, a: &str, b: &str, c: &str) -> Result<(usize, usize, usize), Why> {
        let ((a, b), c) = (self.two(a, b)?, self.point(c)?);
        if a == c || b == c { Err(Why::SamePoint) } else { Ok((a, b, c)) }
    }

    fn sight(&mut self, kind: &Kind, ready: &mut Ready) -> Result<Sight, Why> {
        Ok(match kind {
            Kind::Distance { from, to } => self.two(from, to).map(|(a, b)| Sight::Distance(a, b))?,
            Kind::LevelDistance { from, to } => self.two(from, to).map(|(a, b)| Sight::LevelDistance(a, b))?,
            Kind::Rise { from, to } => self.two(from, to).map(|(a, b)| Sight::Rise(a, b))?,
            Kind::Offset { from, to, along } => self.two(from, to).map(|(a, b)| Sight::Offset(a, b, *along))?,
            Kind::Slope { from, to } => self.two(from, to).map(|(a, b)| Sight::Slope(a, b))?,
            Kind::FromString { point, from, to } => {
                self.three(point, from, to).map(|(p, a, b)| Sight::FromString(p, a, b))?
            }
            Kind::Bevel { at, one, other } => self.three(at, one, other).map(|(o, a, b)| Sight::Bevel(o, a, b))?,
            Kind::FromPlane { point, through, normal } => {
                let p = self.point(point)?;
                let n = normal.try_normalize().ok_or(Why::NoPlane)?;
                if !through.to_array().into_iter().all(usual) {
                    return Err(Why::NoPlane);
                }
                Sight::FromPlane(p, *through, n)
            }
            Kind::Height { point, setup } => {
                let p = self.point(point)?;
                let k = match self.setups.get(setup) {
                    Some(&k) => k,
                    None => {
                        let k = ready.level.len();
                        self.setups.insert(setup.clone(), k);
                        ready.setups.push(setup.clone());
                        let known = self.known.get(setup.as_str()).copied();
                        ready.start.levels.push(known.unwrap_or(0.0));
                        let own = if known.is_some() { None } else { Some(ready.unknown()) };
                        ready.level.push(own);
                        k
                    }
                };
                Sight::Height(p, k)
            }
        })
    }
}
