//! A horizontal edge that comes over the nose: what it follows, where it catches, whether it comes to a person.
//! `docs/methods/rollover.md` has the assumptions and limits.

mod rooms;
mod section;
mod slide;

use geometry::{DVec2, DVec3};

use crate::body::usable;
use crate::{HardBody, RolloverError};
use rooms::along;
use section::{Cut, outlines};
use slide::{Way, slide};

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct UnderRunSettings {
    /// Any place on the ground, m, in the frame's axes.
    pub ground: DVec3,
    /// Square to the ground, upward.
    pub up: DVec3,
    /// Which way is forward; only its part along the ground counts.
    pub forward: DVec3,
    /// The lowest and highest start of the nose's centre over the ground, m.
    pub edge: [f64; 2],
    /// How many start heights from the lowest to the highest, 1 to [`MOST`].
    pub heights: usize,
    /// Lateral positions, m to the left of `ground`; at most [`MOST`].
    pub lateral: Vec<f64>,
    /// Whether the edge is also taken as long, across the whole width.
    pub across: bool,
    /// Radius of the edge's nose, m; more than zero.
    pub nose: f64,
    /// Coefficient of friction.
    pub friction: f64,
    /// Chords of round outlines stray by at most this, m.
    pub gap: f64,
}

/// Most lateral positions, and most start heights: a millimetre each over a metre.
pub const MOST: usize = 1000;

impl UnderRunSettings {
    /// For axes as ISO 8855 with the ground at z = 0: one start height, the long edge alone, chords within 0.1 mm, a
    /// nose of 5 mm and a coefficient of friction of 0.3 (dry steel on painted steel; common practice, no source).
    pub fn new(height: f64) -> UnderRunSettings {
        UnderRunSettings {
            ground: DVec3::ZERO,
            up: DVec3::Z,
            forward: DVec3::X,
            edge: [height; 2],
            heights: 1,
            lateral: Vec::new(),
            across: true,
            nose: 0.005,
            friction: 0.3,
            gap: 1e-4,
        }
    }

    /// The steepest slope that the edge slides up, rad: 90 degrees less the friction angle.
    pub fn limit(&self) -> f64 {
        std::f64::consts::FRAC_PI_2 - self.friction.atan()
    }

    fn check(&self) -> Result<Axes, RolloverError> {
        let wrong = |what| Err(RolloverError::Setting(what));
        let up = self.up.normalize_or_zero();
        let forward = self.forward.normalize_or_zero();
        let left = up.cross(forward);
        if !usable(self.ground) || !left.is_finite() || left.length() < 0.1 {
            return wrong("the ground needs a place, and up and forward must be two directions, not in one line");
        }
        let [low, high] = self.edge;
        if !(low >= 0.0 && high >= low && high < FAR) {
            return wrong("the edge's heights must be numbers, zero or more, the lowest first");
        }
        if self.heights == 0 || self.heights > MOST || self.lateral.len() > MOST {
            return wrong("the edge needs 1 to 1000 start heights, and at most 1000 lateral positions");
        }
        if !self.lateral.iter().all(|y| y.abs() < FAR) {
            return wrong("a lateral position of the edge is no usable number");
        }
        if !(self.nose > 0.0 && self.nose < FAR) {
            return wrong("the radius of the edge's nose must be a number above zero");
        }
        if !(self.friction >= 0.0 && self.friction.is_finite()) {
            return wrong("the edge's coefficient of friction must be a number, zero or more");
        }
        if !(self.gap > 0.0 && self.gap.is_finite()) {
            return wrong("the gap of chords must be a number above zero");
        }
        let left = left.normalize();
        Ok(Axes { origin: self.ground, forward: left.cross(up), left, up })
    }
}

/// Places farther than this, m, are no vehicle.
const FAR: f64 = 1e6;

/// Part of a person's room: a ball, or a capsule from one ball to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its name.
    pub name: String,
    /// The centres of its two ends, m, in the frame's axes; the same for a ball.
    pub ends: [DVec3; 2],
    /// Its radius, m.
    pub radius: f64,
    /// Whether it is a helmet.
    pub helmet: bool,
}

/// Where the edge was met.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Met {
    /// The hard body's name.
    pub body: String,
    /// The place, m, in the frame's axes; across the whole width, in the vertical plane through `ground`.
    pub at: DVec3,
    /// Slope of the surface there, rad: zero level, a right angle a wall, more under an overhang.
    pub slope: f64,
}

/// How it ends.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum UnderRunEnd {
    /// It passes all the way to the tail.
    Passes,
    /// It catches.
    Catches(Met),
}

/// A person's room and where the nose's centre is nearest to it, or first touches it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ToRoom {
    /// The room's name.
    pub room: String,
    /// From the nose to the room, m; negative inside.
    pub gap: f64,
    /// The nose's centre, m, in the frame's axes.
    pub at: DVec3,
}

/// One way of the edge.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct UnderRun {
    /// Lateral position, m to the left; none for the long edge across the whole width.
    pub lateral: Option<f64>,
    /// Start height of the nose's centre over the ground, m.
    pub height: f64,
    /// The way of the nose's centre, m, in the frame's axes.
    pub outline: Vec<DVec3>,
    /// Everything that it met, first to last, each where it is steepest.
    pub met: Vec<Met>,
    /// The steepest of them.
    pub steepest: Option<Met>,
    /// How far it was led upward, m.
    pub led_up: f64,
    /// How it ends.
    pub end: UnderRunEnd,
    /// The room that it meets first, and where.
    pub meets: Option<ToRoom>,
    /// The least gap to a helmet on the way; none without a helmet.
    pub helmet: Option<ToRoom>,
}

/// Axes on the ground: forward, left, up.
#[derive(Clone, Copy, Debug)]
struct Axes {
    origin: DVec3,
    forward: DVec3,
    left: DVec3,
    up: DVec3,
}

impl Axes {
    /// A direction's parts forward, left, up.
    fn way(&self, d: DVec3) -> DVec3 {
        DVec3::new(d.dot(self.forward), d.dot(self.left), d.dot(self.up))
    }

    fn local(&self, p: DVec3) -> DVec3 {
        self.way(p - self.origin)
    }

    fn place(&self, p: DVec2, y: f64) -> DVec3 {
        self.origin + self.forward * p.x + self.left * y + self.up * p.y
    }
}

/// The ways of an edge over hard bodies and persons' rooms: for each lateral position and then, if asked for, across
/// the whole width, from the lowest start height to the highest.
///
/// # Errors
/// [`RolloverError::Nothing`] without bodies; a body, room or setting that can't be.
pub fn under_run(
    bodies: &[HardBody],
    rooms: &[Room],
    settings: &UnderRunSettings,
) -> Result<Vec<UnderRun>, RolloverError> {
    let axes = settings.check()?;
    if bodies.is_empty() {
        return Err(RolloverError::Nothing);
    }
    for b in bodies {
        b.pieces(&mut Vec::new())?;
    }
    for r in rooms {
        let whole = r.ends.iter().all(|p| usable(*p)) && r.radius >= 0.0 && r.radius.is_finite();
        if !whole {
            let what = "its ends must be places and its radius a number, zero or more".to_owned();
            return Err(RolloverError::Body { body: r.name.clone(), what });
        }
    }
    let cuts = settings.lateral.iter().map(|&y| Cut::At(y)).chain(settings.across.then_some(Cut::Across));
    let mut view = Vec::new();
    bodies.iter().enumerate().for_each(|(i, b)| outlines(&b.shape, &axes, Cut::Across, settings.gap, i, &mut view));
    let from = ends(&view, rooms, settings, &axes);
    let [low, high] = settings.edge;
    let parts = (settings.heights - 1).max(1) as f64;
    let mut out = Vec::new();
    for cut in cuts {
        let mut shapes = Vec::new();
        match cut {
            Cut::At(_) => {
                for (i, b) in bodies.iter().enumerate() {
                    outlines(&b.shape, &axes, cut, settings.gap, i, &mut shapes);
                }
            }
            Cut::Across => shapes = std::mem::take(&mut view),
        }
        shapes.iter_mut().for_each(|s| s.widen(settings.nose));
        for k in 0..settings.heights {
            let height = low + (high - low) * (k as f64 / parts);
            let way = slide(&shapes, from, height, settings.nose, settings.limit());
            out.push(report(bodies, rooms, settings, &axes, cut, height, way));
        }
    }
    Ok(out)
}

/// From behind everything to before it: the rear and the front of the way.
fn ends(view: &[slide::Shape], rooms: &[Room], settings: &UnderRunSettings, axes: &Axes) -> [f64; 2] {
    let hard = view.iter().map(|s| s.ends());
    let soft = rooms.iter().flat_map(|r| {
        let reach = r.radius;
        r.ends.map(|p| axes.local(p).x).map(move |x| [x - reach, x + reach])
    });
    let [rear, front] =
        hard.chain(soft).fold([f64::INFINITY, f64::NEG_INFINITY], |a, e| [a[0].min(e[0]), a[1].max(e[1])]);
    [rear - 2.0 * settings.nose, front + 2.0 * settings.nose]
}

fn report(
    bodies: &[HardBody],
    rooms: &[Room],
    settings: &UnderRunSettings,
    axes: &Axes,
    cut: Cut,
    height: f64,
    way: Way,
) -> UnderRun {
    let y = match cut {
        Cut::At(y) => y,
        Cut::Across => 0.0,
    };
    let named = |m: &slide::Hit| Met { body: bodies[m.body].name.clone(), at: axes.place(m.at, y), slope: m.slope };
    // A bend is many pieces: what is met of one body in a row is told once, where it is steepest.
    let mut met: Vec<Met> = Vec::new();
    let mut last = None;
    for hit in &way.met {
        match met.last_mut().filter(|_| last == Some(hit.body)) {
            Some(m) if hit.slope > m.slope => *m = named(hit),
            Some(_) => (),
            None => met.push(named(hit)),
        }
        last = Some(hit.body);
    }
    let steepest = met.iter().max_by(|a, b| a.slope.total_cmp(&b.slope)).cloned();
    let end = match way.met.last() {
        Some(hit) if way.caught => UnderRunEnd::Catches(named(hit)),
        _ => UnderRunEnd::Passes,
    };
    let (meets, helmet) = along(rooms, axes, cut, settings.nose, &way.points);
    UnderRun {
        lateral: if let Cut::At(y) = cut { Some(y) } else { None },
        height,
        led_up: way.points.last().map_or(0.0, |p| p.y - height),
        outline: way.points.iter().map(|p| axes.place(*p, y)).collect(),
        met,
        steepest,
        end,
        meets,
        helmet,
    }
}
