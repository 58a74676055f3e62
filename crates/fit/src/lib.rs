//! What stands, from its measurements: where its points are, how far from the design, and the frame as built.
//!
//! [`fit`] takes a designed [`Shape`] and a sheet of measurements. `docs/methods/build.md` has the method.

mod bent;
mod checks;
mod network;
mod next;
mod spots;
mod standing;

pub use checks::{Check, Of, Verdict};
pub use next::Next;
pub use spots::{FaceError, Located, faces, locate};

use adjust::{Answer, Blunders, Ellipsoid};
use design::measured::{Measured, Tool};
use geometry::DVec3;
use serde::Serialize;
use shape::{Moved, Shape};

/// A measured place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Place {
    /// The point, or the mark.
    pub name: String,
    /// Whether it is a mark of the sheet and no point of the design.
    pub mark: bool,
    /// Where the design has it, m.
    pub designed: DVec3,
    /// Where it is, m.
    pub at: DVec3,
    /// Standard deviations of its coordinates, m.
    pub sigma: DVec3,
    /// Where it is with 95 %.
    pub ellipsoid: Ellipsoid,
    /// Directions in which nothing was measured.
    pub loose: Vec<DVec3>,
    /// Whether it is so badly known that its figures are doubtful.
    pub weak: bool,
    /// Whether its readings would let it stand on the other side of its neighbours as well.
    pub ambiguous: bool,
    /// How many readings name it.
    pub readings: usize,
    /// Why what rests on it is not to be relied on.
    pub doubt: Option<Doubt>,
}

/// Why a place is not to be relied on; the graver first.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(tag = "kind", content = "readings", rename_all = "kebab-case")]
pub enum Doubt {
    /// Readings to it contradict others, and nothing tells which is wrong.
    Contradicted(Vec<String>),
    /// It was not measured in some direction.
    Loose,
    /// Nothing checks these readings to it: one that is wrong would not be found.
    Unchecked(Vec<String>),
}

impl Place {
    /// From the designed place, m.
    pub fn shift(&self) -> DVec3 {
        self.at - self.designed
    }
}

/// What became of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// It agrees with the others.
    Agrees,
    /// Nothing else checks it.
    Unchecked,
    /// It was found wrong, and left out.
    Wrong,
    /// It contradicts others, and nothing tells which is wrong. It is used.
    Contradicts,
    /// The sheet leaves it out.
    LeftOut,
    /// It could not be used: see the problems.
    Unusable,
}

/// A reading beside what it should have been.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// `tape d1`.
    pub title: String,
    /// With what.
    pub tool: Tool,
    /// Names of its places, with their faces.
    pub at: Vec<String>,
    /// What became of it.
    pub fate: Fate,
    /// As read, with what is added, m or rad.
    pub reads: f64,
    /// What it should read as the frame is designed, m or rad; of a height over an unknown plane: with that plane as found.
    pub designed: f64,
    /// What it should read where the points are found, m or rad.
    pub adjusted: Option<f64>,
    /// Standard deviation as given, m or rad.
    pub sigma: f64,
    /// How far others check it, 0 to 1.
    pub redundancy: f64,
    /// Off by so many of its own standard deviations.
    pub w: Option<f64>,
    /// The least error of it that would be found, m or rad.
    pub least_found: Option<f64>,
}

/// Something that could not be used, or must be known.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trouble {
    /// About what: `tape d1`.
    pub about: String,
    /// What: one sentence, no full stop.
    pub what: String,
    /// What to do.
    pub help: String,
}

/// Points that go together in a direction in which nothing was measured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Loose {
    /// Their names.
    pub points: Vec<String>,
    /// In how many ways they can move.
    pub ways: usize,
}

/// Everything that follows from the sheet.
#[derive(Clone, Debug, Serialize)]
pub struct Fit {
    /// Measured places.
    pub places: Vec<Place>,
    /// Readings, in the order of the sheet.
    pub readings: Vec<Found>,
    /// Slides of the whole that nothing fixes: it is laid on the design as well as it goes.
    pub open_slides: usize,
    /// Turns of the whole that nothing fixes.
    pub open_turns: usize,
    /// Places that the readings leave loose.
    pub loose: Vec<Loose>,
    /// How gravity stands in the design's axes: "up".
    pub up: DVec3,
    /// Standard deviations of its two turns, rad; 0 if it is not sought.
    pub up_sigma: [f64; 2],
    /// Readings more than are needed.
    pub freedom: usize,
    /// Mean square of what is left over standard deviations, its lower and upper limit; `None` if nothing is checked.
    pub factor: Option<[f64; 3]>,
    /// Groups of readings that contradict one another.
    pub contradictions: Vec<Vec<String>>,
    /// Whether the sum of squares came to its least.
    pub converged: bool,
    /// Names of the tubes that stand.
    pub standing: Vec<String>,
    /// Distances of what stands, held against their tolerances.
    pub checks: Vec<Check>,
    /// What one more tape distance would tell, the most first.
    pub next: Vec<Next>,
    /// What could not be used.
    pub troubles: Vec<Trouble>,
    /// Where points are instead of where they are designed.
    #[serde(skip)]
    pub moved: Moved,
    #[serde(skip)]
    network: network::Net,
    #[serde(skip)]
    answer: Answer,
}

/// What is known beside the sheet.
pub struct Ask<'a> {
    /// Tubes that the shop has tacked or welded.
    pub done: &'a [String],
    /// Tolerance of a length, ±, m; none where it is not finite.
    pub tolerance: &'a dyn Fn(f64) -> f64,
    /// A tape's standard deviation for what is to be measured next, m.
    pub tape: f64,
}

/// How many distances to be measured next are told.
const NEXT: usize = 12;

/// Works out where everything is.
pub fn fit(shape: &Shape, measured: &Measured, ask: &Ask<'_>) -> Fit {
    let net = network::Net::new(shape, measured);
    let answer = adjust::adjust(&net.network, Blunders::LeaveOut);
    let readings = net.found(shape, measured, &answer);
    let places = net.places(&answer, &readings);
    let standing = standing::standing(shape, measured, &net, ask.done);
    let moved = standing::moved(shape, &standing, &net, &places);
    let mut out = Fit {
        readings,
        open_slides: answer.open.slides,
        open_turns: answer.open.turns,
        loose: net.loose(&answer),
        up: answer.tilt.up,
        up_sigma: answer.tilt.sigma,
        freedom: answer.freedom,
        factor: answer.global.map(|g| [g.factor, g.low, g.high]),
        contradictions: net.contradictions(&answer),
        converged: answer.convergence.converged,
        standing: standing.iter().map(|&k| shape.tubes[k].name.clone()).collect(),
        checks: Vec::new(),
        next: next::next(shape, &net, &answer, &standing, ask.tape, NEXT),
        troubles: net.troubles(&answer),
        places,
        moved,
        network: net,
        answer,
    };
    out.checks = checks::checks(shape, &out, &standing, ask.tolerance);
    out
}

impl Fit {
    /// The measured place of a point or mark.
    pub fn place(&self, name: &str) -> Option<&Place> {
        self.places.iter().find(|p| p.name == name)
    }

    /// Standard deviation of the distance between two measured places, m. `None` if one was not measured, or if it is loose
    /// along the line.
    pub fn distance_sigma(&self, a: &str, b: &str) -> Option<f64> {
        let (i, j) = (self.network.number(a)?, self.network.number(b)?);
        let (p, q) = (self.place(a)?, self.place(b)?);
        let u = (q.at - p.at).try_normalize()?;
        if p.loose.iter().chain(&q.loose).any(|d| d.dot(u).abs() > network::ALONG) {
            return None;
        }
        let of = |k, l| self.answer.covariance(k, l);
        let m = of(i, i)? + of(j, j)? - of(i, j)? - of(j, i)?;
        Some(u.dot(m * u).max(0.0).sqrt())
    }
}
