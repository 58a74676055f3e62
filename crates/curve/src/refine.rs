//! Corners of a given number moved until the greatest distance is as small as their neighbourhood allows.

use glam::{DMat3, DVec3};

use crate::bent::{Bent, half_at, of_three};
use crate::cone::{self, Offset, Room, Step};
use crate::line::Line;
use crate::walk::{Pair, Walked, walk};
use crate::{Die, MOST_TURN};

/// Corners with what comes of them.
#[derive(Clone, Debug)]
pub struct Found {
    /// The chain.
    pub bent: Bent,
    /// The walk along it.
    pub walked: Walked,
    /// How much the worst straight is too short (m) or the worst bend turns too far (rad); 0 where all fits.
    pub lack: f64,
}

impl Found {
    /// The chain at corners.
    pub fn new(line: &Line, die: &Die, corners: Vec<DVec3>) -> Option<Found> {
        let bent = Bent::new(corners, die.radius)?;
        let lack = rooms_now(&bent, die).fold(0.0, |a: f64, r| a.max(-r));
        let walked = walk(line, &bent);
        Some(Found { bent, walked, lack })
    }

    /// What is made least.
    pub fn cost(&self) -> f64 {
        self.walked.most() + DEAR * self.lack
    }

    /// Whether the die can make it.
    pub fn fits(&self) -> bool {
        self.lack <= ROOM
    }
}

/// A lack of room costs so many times as much as a distance: more than any shift of a bend could win by it.
const DEAR: f64 = 30.0;
/// What rounding leaves of a room that is used up, m or rad.
pub const ROOM: f64 = 1e-9;
/// Rooms are kept this much larger than they must be, so that the last step's curvature does not spend them, m or rad.
const SPARE: f64 = 5e-10;
/// Nobody wants it nearer, m: what places on the curve stray.
const CLOSE: f64 = 2e-6;
/// Pairs that are looked at in each leg and in each arc: the farthest of so many equal parts.
const PARTS: [usize; 2] = [8, 5];
/// Steps for difference quotients of arcs and of rooms, m.
const SMALL: f64 = 1e-6;

/// How much trouble is taken.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Most steps.
    pub steps: usize,
    /// Ends where a step wins less than this part of the distance.
    pub worth: f64,
}

impl Effort {
    /// To tell starts from one another.
    pub const ROUGH: Effort = Effort { steps: 8, worth: 0.02 };
    /// To the end.
    pub const FINE: Effort = Effort { steps: 40, worth: 2e-4 };
}

/// Least straight of each leg.
pub fn least(die: &Die, leg: usize, legs: usize) -> f64 {
    match leg {
        // A straight tube never sees the clamp.
        _ if legs == 1 => 0.0,
        0 => die.ends[0],
        _ if leg + 1 == legs => die.ends[1],
        _ => die.between,
    }
}

fn most_half(die: &Die) -> f64 {
    die.most.min(MOST_TURN) / 2.0
}

/// Room of each leg, then of each bend (half its turn).
fn rooms_now<'a>(bent: &'a Bent, die: &'a Die) -> impl Iterator<Item = f64> + 'a {
    let legs = bent.corners.len() - 1;
    let straights = (0..legs).map(move |i| bent.straight(i) - least(die, i, legs));
    straights.chain((1..legs).map(move |i| most_half(die) - bent.half[i]))
}

/// Moves the inner corners.
pub fn refine(line: &Line, die: &Die, start: Found, effort: Effort) -> Found {
    let corners = start.bent.corners.len() - 2;
    if corners == 0 {
        return start;
    }
    let mut now = start;
    let mut reach = (0.5 * now.walked.most()).max(0.02 * line.length() / (corners + 1) as f64);
    let mut slow = 0;
    for _ in 0..effort.steps {
        let far = now.walked.most();
        if far < CLOSE && now.fits() || reach < 1e-9 {
            break;
        }
        let (offsets, rooms) = (offsets(&now), rooms(&now.bent, die));
        let gap = (0.1 * effort.worth.max(2e-3)).max(if slow == 0 { 0.01 } else { 0.0 });
        let step = Step { offsets: &offsets, rooms: &rooms, corners, reach, dear: DEAR, gap };
        let Some((moves, promised)) = cone::solve(&step) else { break };
        let mut to = now.bent.corners.clone();
        for (c, d) in to[1..].iter_mut().zip(&moves) {
            *c += *d;
        }
        let went = moves.iter().map(|d| d.length()).fold(0.0, f64::max);
        let (cost, hoped) = (now.cost(), (now.cost() - promised).max(0.0));
        match Found::new(line, die, to) {
            Some(next) if next.cost() < cost => {
                let won = cost - next.cost();
                reach = if won > 0.6 * hoped {
                    reach.max(2.0 * went)
                } else if won < 0.2 * hoped {
                    0.5 * went
                } else {
                    reach
                };
                now = next;
                slow = if won < effort.worth * cost { slow + 1 } else { 0 };
                if slow > 2 {
                    break;
                }
            }
            _ => {
                reach = 0.35 * went.min(reach);
                if hoped < effort.worth * cost {
                    slow += 1;
                    if slow > 2 {
                        break;
                    }
                }
            }
        }
    }
    now
}

/// The pairs that count: the farthest of each part of each segment.
fn chosen(found: &Found) -> Vec<Pair> {
    let segments = found.bent.segments();
    let mut best: Vec<Option<Pair>> = vec![None; (segments / 2 + 1) * (PARTS[0] + PARTS[1])];
    for p in &found.walked.pairs {
        let parts = PARTS[p.segment % 2];
        let cell = (p.segment / 2) * (PARTS[0] + PARTS[1]) + (p.segment % 2) * PARTS[0];
        let cell = cell + ((p.part * parts as f64) as usize).min(parts - 1);
        if best[cell].is_none_or(|b| p.apart > b.apart) {
            best[cell] = Some(*p);
        }
    }
    best.into_iter().flatten().collect()
}

fn offsets(found: &Found) -> Vec<Offset> {
    let bent = &found.bent;
    let last = bent.corners.len() - 1;
    let across = |way: DVec3| DMat3::IDENTITY - DMat3::from_cols(way * way.x, way * way.y, way * way.z);
    chosen(found)
        .iter()
        .map(|p| {
            let i = p.segment / 2;
            let flat = across(p.way);
            let mut moves = Vec::with_capacity(3);
            let mut put = |corner: usize, j: DMat3| {
                if corner > 0 && corner < last {
                    moves.push((corner - 1, flat * j));
                }
            };
            if p.segment.is_multiple_of(2) {
                // The place between the corners: how it slides along the leg does not count.
                let (a, b) = (bent.corners[i], bent.corners[i + 1]);
                let g = ((p.chain - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
                put(i, DMat3::from_diagonal(DVec3::splat(1.0 - g)));
                put(i + 1, DMat3::from_diagonal(DVec3::splat(g)));
            } else {
                let v = [bent.corners[i], bent.corners[i + 1], bent.corners[i + 2]];
                let column = |k: usize, axis: usize| {
                    let side = |s: f64| {
                        let mut u = v;
                        u[k][axis] += s * SMALL;
                        of_three(u, bent.radius, p.part)
                    };
                    (side(1.0) - side(-1.0)) / (2.0 * SMALL)
                };
                for k in 0..3 {
                    put(i + k, DMat3::from_cols(column(k, 0), column(k, 1), column(k, 2)));
                }
            }
            Offset { at: p.chain - p.curve, moves }
        })
        .collect()
}

fn rooms(bent: &Bent, die: &Die) -> Vec<Room> {
    let v = &bent.corners;
    let (legs, last) = (v.len() - 1, v.len() - 1);
    let half = most_half(die);
    let mut out = Vec::with_capacity(2 * legs);
    let mut put = |at: f64, corners: std::ops::RangeInclusive<usize>, value: &dyn Fn(&[DVec3]) -> f64| {
        let (from, to) = (*corners.start(), *corners.end());
        let moves = (from.max(1)..=to.min(last - 1)).map(|c| {
            let one = |axis: usize| {
                let side = |s: f64| {
                    let mut u = [DVec3::ZERO; 4];
                    u[..=to - from].copy_from_slice(&v[from..=to]);
                    u[c - from][axis] += s * SMALL;
                    value(&u[..=to - from])
                };
                (side(1.0) - side(-1.0)) / (2.0 * SMALL)
            };
            (c - 1, DVec3::new(one(0), one(1), one(2)))
        });
        out.push(Room { at: at - SPARE, moves: moves.collect() });
    };
    for leg in 0..legs {
        let (from, to) = (leg.saturating_sub(1), (leg + 2).min(last));
        let at = leg - from;
        let radius = bent.radius;
        put(bent.straight(leg) - least(die, leg, legs), from..=to, &|u| {
            let back = |k: usize| {
                if k == 0 || k + 1 >= u.len() { 0.0 } else { radius * half_at([u[k - 1], u[k], u[k + 1]]).tan() }
            };
            u[at].distance(u[at + 1]) - back(at) - back(at + 1)
        });
    }
    for i in 1..last {
        put(half - bent.half[i], i - 1..=i + 1, &|u| -half_at([u[0], u[1], u[2]]));
    }
    out
}
