//! Plane faces with holes as triangles, without new corners: holes are bridged to what is round them, then ears are cut.

use geometry::DVec2;

type Corner = (DVec2, u32);

fn area(ring: &[Corner]) -> f64 {
    let n = ring.len();
    (0..n).map(|i| ring[i].0.perp_dot(ring[(i + 1) % n].0)).sum::<f64>() / 2.0
}

fn side(a: DVec2, b: DVec2, c: DVec2) -> f64 {
    (b - a).perp_dot(c - a)
}

/// Whether a point lies in a triangle or on its edge.
fn within(p: DVec2, [a, b, c]: [DVec2; 3]) -> bool {
    side(a, b, p) >= 0.0 && side(b, c, p) >= 0.0 && side(c, a, p) >= 0.0
}

fn holds(ring: &[Corner], p: DVec2) -> bool {
    let n = ring.len();
    let mut inside = false;
    for i in 0..n {
        let (a, b) = (ring[i].0, ring[(i + 1) % n].0);
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            inside = !inside;
        }
    }
    inside
}

/// Triangles of what lies within anticlockwise rings and outside clockwise ones.
///
/// # Errors
///
/// If the rings cross, or a hole lies in nothing.
pub fn triangles(loops: Vec<Vec<Corner>>) -> Result<Vec<[u32; 3]>, String> {
    let (outer, mut holes): (Vec<_>, Vec<_>) = loops.into_iter().partition(|r| area(r) > 0.0);
    let mut out = Vec::new();
    for mut ring in outer {
        let mut own: Vec<Vec<Corner>>;
        (own, holes) = holes.into_iter().partition(|h| holds(&ring, h[0].0));
        // A hole may be hidden by others, but never are all of them.
        let mut hidden = 0;
        while let Some(h) = own.pop() {
            if bridge(&mut ring, &h, &own) {
                hidden = 0;
            } else if hidden > own.len() {
                return Err("a hollow has no clear place in its face".to_owned());
            } else {
                hidden += 1;
                own.insert(0, h);
            }
        }
        cut(ring, &mut out)?;
    }
    if holes.is_empty() { Ok(out) } else { Err("a hollow lies outside of its face".to_owned()) }
}

/// Whether the way from a ring's corner to a point leaves it on the ring's inside. Where a bridge has put a corner in the ring
/// twice, this tells the two apart.
fn opens(ring: &[Corner], k: usize, to: DVec2) -> bool {
    let n = ring.len();
    let (before, here, after) = (ring[(k + n - 1) % n].0, ring[k].0, ring[(k + 1) % n].0);
    let (l, r) = (side(here, after, to) > 0.0, side(before, here, to) > 0.0);
    if side(before, here, after) > 0.0 { l && r } else { l || r }
}

/// Joins a hole to the ring by the shortest bridge that crosses nothing, other holes included; false if there is none.
fn bridge(ring: &mut Vec<Corner>, hole: &[Corner], others: &[Vec<Corner>]) -> bool {
    let mut order: Vec<(usize, usize)> = (0..ring.len()).flat_map(|k| (0..hole.len()).map(move |i| (k, i))).collect();
    let far = |&(k, i): &(usize, usize)| ring[k].0.distance_squared(hole[i].0);
    order.sort_by(|a, b| far(a).total_cmp(&far(b)));
    let clear = |from: DVec2, to: DVec2, r: &[Corner]| {
        (0..r.len()).all(|k| {
            let (a, b) = (r[k].0, r[(k + 1) % r.len()].0);
            if a == to || b == to || a == from || b == from {
                // It may share a corner with the bridge, but not lie along it.
                let other = if a == to || a == from { b } else { a };
                let on = side(from, to, other) == 0.0 && (other - from).dot(other - to) < 0.0;
                return !on;
            }
            let (p, q) = (side(from, to, a), side(from, to, b));
            let (r, s) = (side(a, b, from), side(a, b, to));
            !(p * q <= 0.0 && r * s <= 0.0)
        })
    };
    let free = |&(k, i): &(usize, usize)| {
        let (from, to) = (hole[i].0, ring[k].0);
        opens(ring, k, from)
            && clear(from, to, ring)
            && clear(from, to, hole)
            && others.iter().all(|o| clear(from, to, o))
    };
    let Some((at, i)) = order.into_iter().find(free) else { return false };
    let mut insert: Vec<Corner> = (0..=hole.len()).map(|k| hole[(i + k) % hole.len()]).collect();
    insert.push(ring[at]);
    ring.splice(at + 1..at + 1, insert);
    true
}

/// Cuts ears off a ring until a triangle is left.
fn cut(mut ring: Vec<Corner>, out: &mut Vec<[u32; 3]>) -> Result<(), String> {
    while ring.len() > 3 {
        let n = ring.len();
        let mut best: Option<(f64, usize)> = None;
        for i in 0..n {
            let t = [ring[(i + n - 1) % n].0, ring[i].0, ring[(i + 1) % n].0];
            let wide = side(t[0], t[1], t[2]);
            if wide <= 0.0 {
                continue;
            }
            // Of the ears the best shaped, so that no slivers are left to the end.
            let longest = (t[0] - t[1]).length().max((t[1] - t[2]).length()).max((t[2] - t[0]).length());
            let shape = wide / (longest * longest);
            if best.is_some_and(|b| b.0 >= shape) {
                continue;
            }
            let free = opens(&ring, (i + n - 1) % n, t[2])
                && opens(&ring, (i + 1) % n, t[0])
                && ring.iter().all(|c| t.contains(&c.0) || !within(c.0, t));
            if free {
                best = Some((shape, i));
            }
        }
        let Some((_, i)) = best else { return Err("a face can't be made of triangles".to_owned()) };
        out.push([ring[(i + n - 1) % n].1, ring[i].1, ring[(i + 1) % n].1]);
        ring.remove(i);
    }
    out.push([ring[0].1, ring[1].1, ring[2].1]);
    Ok(())
}
