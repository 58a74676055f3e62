//! The car lying in an attitude: pressed to the ground by a multiple of its weight, and pushed where it touches.

use design::TubeState;
use frame::{Carrier, Frame, Held, Hold, Loads, handed_on};
use geometry::DVec3;
use shape::Shape;

use crate::cases::{Case, GRAVITY, Goes, NoCase, Pushed, Wanted, Why, three};
use crate::places::Placed;

/// Where something touches the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Touch {
    /// The name of the tube, plate, mass, wheel or skin.
    pub body: String,
    /// Where, m.
    pub at: DVec3,
}

/// An attitude in which the car lies.
#[derive(Clone, Debug, PartialEq)]
pub struct Lying {
    /// In words: `on its roof, tail down`.
    pub words: String,
    /// Down, in the frame's axes (unit).
    pub down: DVec3,
    /// What touches.
    pub touches: Vec<Touch>,
}

/// Two touches nearer than this are one, m: a tube's wall.
const ONE: f64 = 1e-3;

/// A push of less than this part of the weight is rounding.
const NONE: f64 = 1e-9;

/// A balance that misses by more than this part of the weight times the car's size is none. On one or two places it rests by
/// a hair, and rollover's centre of gravity is that of the tubes as they are cut.
const BALANCED: f64 = 0.01;

/// A touch on the frame: a unit push of the ground as forces on nodes.
struct Contact {
    name: String,
    at: DVec3,
    nodal: Vec<(usize, frame::six::Six)>,
    /// Unit pushes along two directions in the ground: how it moves along them is their work.
    across: [Vec<(usize, frame::six::Six)>; 2],
}

/// How every attitude is held, and the frame made ready for it.
pub(crate) type Ready<'a> = (Vec<Hold>, Held<'a>);

/// A case for each attitude, and the frame as it is held in all of them.
pub(crate) fn at_rest<'a>(
    shape: &Shape,
    placed: &Placed,
    frame: &'a Frame,
    list: &[Lying],
) -> (Vec<Result<Case, NoCase>>, Option<Ready<'a>>) {
    if list.is_empty() {
        return (Vec::new(), None);
    }
    let names = named(list);
    // Every attitude is held alike, so that the frame is factorised once, and all is solved side by side.
    let begun: Vec<Result<Begun, Why>> = list.iter().map(|l| begun(shape, placed, l)).collect();
    let moved = drifting(placed).and_then(|holds| {
        let held = frame.held(&holds).map_err(|_| {
            ("the frame is in pieces, or can't be calculated with".to_owned(), "see `shape` for ends that meet nothing")
        })?;
        let failed = |_| ("the frame can't be calculated with".to_owned(), "look at sections and materials");
        let ok = || begun.iter().flatten();
        let under: Vec<Loads> = ok().map(|b| b.loads.clone()).collect();
        let push = |c: &Contact| Loads { nodal: c.nodal.clone(), ..Loads::default() };
        let units: Vec<Loads> = ok().flat_map(|b| &b.contacts).map(push).collect();
        let moved = (held.motions(&under).map_err(failed)?, held.motions(&units).map_err(failed)?);
        Ok(((holds, held), moved))
    });
    let (ready, (under, units)) = match moved {
        Ok(m) => m,
        Err(all) => {
            let no = |(name, begun): (String, Result<Begun, Why>)| {
                let (why, help) = begun.err().unwrap_or_else(|| all.clone());
                Err(NoCase { name, why, help: help.to_owned() })
            };
            return (names.into_iter().zip(begun).map(no).collect(), None);
        }
    };
    let (mut under, mut units) = (under.into_iter(), units.into_iter());
    let cases = list
        .iter()
        .zip(begun)
        .zip(names)
        .map(|((l, begun), name)| {
            let case = begun.and_then(|b| {
                let moved = Moved {
                    under: under.next().unwrap_or_default(),
                    units: units.by_ref().take(b.contacts.len()).collect(),
                };
                one(placed, &ready.0, b, &moved, l.down, &name)
            });
            case.map_err(|(why, help)| NoCase { name, why, help: help.to_owned() })
        })
        .collect();
    (cases, Some(ready))
}

/// Names of the cases; those in the same words are numbered from the second on.
fn named(list: &[Lying]) -> Vec<String> {
    let mut seen: Vec<(&str, usize)> = Vec::new();
    list.iter()
        .map(|l| {
            let count = match seen.iter_mut().find(|n| n.0 == l.words) {
                Some(n) => {
                    n.1 += 1;
                    n.1
                }
                None => {
                    seen.push((&l.words, 1));
                    1
                }
            };
            let again = if count > 1 { format!(" ({count})") } else { String::new() };
            format!("at rest {}{again}", l.words)
        })
        .collect()
}

/// What the frame carries in an attitude, and where it touches.
struct Begun {
    loads: Loads,
    contacts: Vec<Contact>,
}

/// How all nodes move.
struct Moved {
    /// Under the weight.
    under: Vec<frame::six::Six>,
    /// Under a unit push at each contact.
    units: Vec<Vec<frame::six::Six>>,
}

/// Holds at three joints far from each other: they only stop the frame from drifting.
fn drifting(placed: &Placed) -> Result<Vec<Hold>, Why> {
    let nodes = &placed.built.model.nodes;
    let all: Vec<usize> = (0..nodes.len()).collect();
    three(nodes, &all).ok_or(("all its joints lie on one line".to_owned(), "draw the frame"))
}

fn begun(shape: &Shape, placed: &Placed, l: &Lying) -> Result<Begun, Why> {
    let g = shape.design.strength.rest;
    let contacts = contacts(shape, placed, l)?;
    let mut loads = Loads { field: l.down * (g * GRAVITY), ..Loads::default() };
    // Wheels are no part of the model: their weight hangs on their mounts.
    let wheels = crate::cases::wheels_pressed(shape, placed, loads.field, true);
    loads.nodal.extend(wheels);
    Ok(Begun { loads, contacts })
}

fn one(
    placed: &Placed,
    holds: &[Hold],
    Begun { mut loads, contacts }: Begun,
    moved: &Moved,
    down: DVec3,
    name: &str,
) -> Result<Case, Why> {
    let model = &placed.built.model;
    // How far a contact goes along its push under the weight (0), or under a unit push at a contact (from 1).
    let way = |c: &Contact, k: usize| -> f64 {
        let motions = if k == 0 { &moved.under } else { &moved.units[k - 1] };
        c.nodal.iter().map(|(n, f)| f.iter().zip(&motions[*n]).map(|(a, b)| a * b).sum::<f64>()).sum()
    };
    // How a place goes up off the ground with the frame as a rigid body: a rise and two turns about axes in the ground.
    let up = -down;
    let (a, b) = up.any_orthonormal_pair();
    let foot = contacts[0].at;
    let rigid = |p: DVec3| [1.0, up.dot(a.cross(p - foot)), up.dot(b.cross(p - foot))];
    let whole = crate::cases::whole(placed, &loads);
    let (force, moment) = (frame::six::first(&whole), frame::six::last(&whole));
    let about = moment - foot.cross(force);
    let wanted = [-up.dot(force), -a.dot(about), -b.dot(about)];
    let weight = wanted[0];
    let size = model.nodes.iter().map(|n| n.distance(foot)).fold(0.0, f64::max);
    if weight.is_nan() || weight <= 0.0 {
        return Err(("nothing has any weight".to_owned(), "give materials a density, and masses"));
    }
    // Touches that would have to pull are let go; those that then come through the ground push again.
    let mut on: Vec<bool> = vec![true; contacts.len()];
    let mut tried: Vec<Vec<bool>> = Vec::new();
    let (pushes, motion) = loop {
        if tried.contains(&on) {
            return Err(("which places it rests on does not settle".to_owned(), "move what it rests on a little"));
        }
        tried.push(on.clone());
        let active: Vec<usize> = (0..contacts.len()).filter(|&i| on[i]).collect();
        let n = active.len();
        let mut m = vec![vec![0.0; n + 3]; n + 3];
        let mut rhs = vec![0.0; n + 3];
        for (i, &c) in active.iter().enumerate() {
            for (j, &k) in active.iter().enumerate() {
                m[i][j] = way(&contacts[c], k + 1);
            }
            let row = rigid(contacts[c].at);
            for k in 0..3 {
                m[i][n + k] = row[k];
                m[n + k][i] = row[k];
            }
            rhs[i] = -way(&contacts[c], 0);
        }
        rhs[n..].copy_from_slice(&wanted);
        let x = crate::dense::solve(m, rhs);
        let balance = (0..3).map(|k| {
            let sum: f64 = active.iter().zip(&x).map(|(&c, p)| rigid(contacts[c].at)[k] * p).sum();
            (sum - wanted[k]).abs()
        });
        let missed = balance.enumerate().any(|(k, m)| m > BALANCED * weight * if k == 0 { 1.0 } else { size });
        if missed {
            let why = "its weight on the frame is not over the places it rests on".to_owned();
            return Err((why, "give wheels mounts, so that their weight counts, and masses their places"));
        }
        let least = (0..n).min_by(|&i, &j| x[i].total_cmp(&x[j]));
        if let Some(i) = least.filter(|&i| x[i] < -NONE * weight) {
            on[active[i]] = false;
            continue;
        }
        let motion = [x[n], x[n + 1], x[n + 2]];
        let rise = |i: usize| {
            let bent: f64 =
                way(&contacts[i], 0) + active.iter().zip(&x).map(|(&k, p)| way(&contacts[i], k + 1) * p).sum::<f64>();
            bent + rigid(contacts[i].at).iter().zip(motion).map(|(r, q)| r * q).sum::<f64>()
        };
        let through = (0..contacts.len()).filter(|&i| !on[i]).find(|&i| rise(i) < -NONE * size);
        match through {
            Some(i) => on[i] = true,
            None => break (active.into_iter().zip(x).collect::<Vec<_>>(), motion),
        }
    };
    let (mut told, mut feet) = (Vec::new(), Vec::new());
    let mut slid: Vec<(DVec3, DVec3)> = Vec::new();
    for &(c, p) in &pushes {
        let contact = &contacts[c];
        if p > NONE * weight {
            feet.extend(crate::stays::foot(&model.nodes, contact.at, &contact.nodal, up));
            let [x, y] = contact.across.each_ref().map(|nodal| {
                let work = |motions: &[frame::six::Six]| -> f64 {
                    nodal.iter().map(|(n, f)| f.iter().zip(&motions[*n]).map(|(a, b)| a * b).sum::<f64>()).sum()
                };
                work(&moved.under) + pushes.iter().map(|&(k, p)| work(&moved.units[k]) * p).sum::<f64>()
            });
            slid.push((contact.at, a * x + b * y));
        }
        loads.nodal.extend(contact.nodal.iter().map(|(n, f)| (*n, f.map(|x| x * p))));
        told.push(Pushed { name: contact.name.clone(), at: contact.at, force: up * p });
    }
    // Ways are told against the ground, over which nothing stops it: the places it rests on stay as near as can be.
    let turn = a * motion[1] + b * motion[2];
    slid.iter_mut().for_each(|(at, by)| *by += turn.cross(*at - foot).reject_from(up));
    let (by, yaw) = crate::stays::back(&slid, foot, up);
    let goes = Goes { about: foot, by: up * motion[0] + by, turn: turn + up * yaw };
    let stays = crate::stays::stays(&model.nodes, &feet, up);
    Ok(Case {
        name: name.to_owned(),
        source: "strength.rest".to_owned(),
        loads,
        holds: holds.to_vec(),
        stays: Some(stays),
        carried: "the ground, which pushes where it touches, pulls nowhere and rubs nowhere",
        wanted: Wanted { most: None, utilisation: 1.0, buckling: 1.0, collapse: 0.0 },
        published: None,
        pushes: told,
        goes: Some(goes),
        lifted: Vec::new(),
        acts: Vec::new(),
    })
}

fn contacts(shape: &Shape, placed: &Placed, l: &Lying) -> Result<Vec<Contact>, Why> {
    let model = &placed.built.model;
    let mut out: Vec<Contact> = Vec::new();
    for t in &l.touches {
        if out.iter().any(|c| c.at.distance(t.at) < ONE) {
            continue;
        }
        let up = -l.down;
        let (a, b) = up.any_orthonormal_pair();
        let carried: Option<&[Carrier]> =
            shape.bodies.iter().zip(&placed.carriers).find(|(b, _)| b.name == t.body).map(|(_, c)| c.as_slice());
        let tube = shape.tubes.iter().position(|x| x.name == t.body && x.state != TubeState::Temporary);
        let pushed = |force: DVec3| match (tube, carried) {
            // At the nearest place of the tube's axis; from the surface there is a rigid arm.
            (Some(k), _) => Ok(on_tube(shape, placed, k, t.at, force)),
            (None, Some([])) => {
                let why = format!("it rests on {}, which has no mount", t.body);
                Err((why, "give it a `mount` with the places that it is bolted to"))
            }
            (None, Some(nodes)) => Ok(handed_on(t.at, nodes, &model.nodes, &frame::six::six(force, DVec3::ZERO))),
            (None, None) if shape.plates.iter().any(|p| p.name == t.body) => {
                let off = |k: &usize| shape.tubes[*k].chain.nearest(t.at).1;
                let near = (0..shape.tubes.len())
                    .filter(|&k| shape.tubes[k].state != TubeState::Temporary)
                    .min_by(|a, b| off(a).total_cmp(&off(b)));
                Ok(near.map_or(Vec::new(), |k| on_tube(shape, placed, k, t.at, force)))
            }
            (None, None) => {
                let why = format!("it rests on {}, which is no part of the frame", t.body);
                Err((why, "say `hard = false` of what does not hold the car"))
            }
        };
        let (nodal, across) = (pushed(up)?, [pushed(a)?, pushed(b)?]);
        if nodal.is_empty() {
            return Err((format!("{} carries nothing", t.body), "mark it as giving way, or draw the tube under it"));
        }
        out.push(Contact { name: t.body.clone(), at: t.at, nodal, across });
    }
    if out.is_empty() {
        return Err(("nothing touches the ground".to_owned(), "see `tubewright rollover`"));
    }
    Ok(out)
}

/// A force at a place beside a tube, on the node at the nearest place of its axis: that was made one before, see [`spots`].
fn on_tube(shape: &Shape, placed: &Placed, tube: usize, at: DVec3, force: DVec3) -> Vec<(usize, frame::six::Six)> {
    let built = &placed.built;
    let chain = &shape.tubes[tube].chain;
    let (station, _) = chain.nearest(at);
    let node = |i: usize| {
        let b = &built.model.beams[i];
        let [from, to] = [built.beams[i].1, built.beams[i].1 + b.length()];
        [(b.nodes[0], from, b.start()), (b.nodes[1], to, b.end())]
    };
    let near = built.along(tube).flat_map(node).min_by(|x, y| (x.1 - station).abs().total_cmp(&(y.1 - station).abs()));
    near.map_or(Vec::new(), |(n, _, _)| vec![(n, frame::six::six(force, (at - built.model.nodes[n]).cross(force)))])
}

/// The places on tubes that must be nodes.
pub(crate) fn spots(shape: &Shape, list: &[Lying]) -> Vec<crate::build::Spot> {
    let stays = |k: &usize| shape.tubes[*k].state != TubeState::Temporary;
    let mut out: Vec<crate::build::Spot> = Vec::new();
    for t in list.iter().flat_map(|l| &l.touches) {
        let named = (0..shape.tubes.len()).filter(stays).find(|&k| shape.tubes[k].name == t.body);
        let plate = shape.plates.iter().any(|p| p.name == t.body);
        let off = |k: &usize| shape.tubes[*k].chain.nearest(t.at).1;
        let nearest = || (0..shape.tubes.len()).filter(stays).min_by(|a, b| off(a).total_cmp(&off(b)));
        let Some(tube) = named.or_else(|| if plate { nearest() } else { None }) else { continue };
        let station = shape.tubes[tube].chain.nearest(t.at).0;
        let name = format!("touching place of {}", shape.tubes[tube].name);
        out.push(crate::build::Spot { tube, station, name });
    }
    out
}
