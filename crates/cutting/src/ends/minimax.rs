//! The plane that lies under points and near them: an exact linear program of four unknowns.

/// A place in the cross-section, the height that a plane may not pass there, and what a lack of height weighs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// Place, m.
    pub u: f64,
    /// Place, m.
    pub v: f64,
    /// Height, m.
    pub t: f64,
    /// Weight of a gap, 0 to 1.
    pub w: f64,
    /// Whether the plane must not pass it. Otherwise it only counts for the gap.
    pub stops: bool,
}

/// Height of a plane over the cross-section: a + b u + c v.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// At the axis, m.
    pub a: f64,
    /// Rise along u.
    pub b: f64,
    /// Rise along v.
    pub c: f64,
}

impl Sheet {
    /// Height at a place.
    pub fn at(&self, u: f64, v: f64) -> f64 {
        self.a + self.b * u + self.c * v
    }
}

/// The best plane, the largest weighted lack of height under it, and what no plane can go below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Best {
    /// The plane, moved so that it touches.
    pub sheet: Sheet,
    /// Largest w (t − height), m.
    pub gap: f64,
    /// Lower bound of that over all planes, m.
    pub bound: f64,
}

/// Rounds of exchange at most: a dozen is usual.
const ROUNDS: usize = 200;

/// Below this a constraint counts as kept, in units of the section's reach: a millionth of a micrometre on a tube.
const KEPT: f64 = 1e-11;

/// A pivot smaller than this would make the basis singular.
const PIVOT: f64 = 1e-12;

/// A column of the dual: of the constraint that stops the plane at a place, or of the one that bounds the gap there.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Column {
    Stop(usize),
    Gap(usize),
}

/// Finds the plane with the least largest weighted lack. `None` if fewer than three places out of line stop it.
///
/// Dual simplex-like exchange: the dual has four rows (for a, b, c, g) and two columns for each place. Each basis of
/// four gives multipliers (the plane and g) that keep the four constraints exactly; the constraint broken most enters.
pub fn best(stops: &[Stop]) -> Option<Best> {
    let scale = stops.iter().map(|s| s.u.abs().max(s.v.abs())).fold(0.0, f64::max);
    if scale.is_nan() || scale <= 0.0 || stops.iter().any(|s| !(s.t.is_finite() && s.w.is_finite())) {
        return None;
    }
    let p: Vec<Stop> = stops.iter().map(|s| Stop { u: s.u / scale, v: s.v / scale, t: s.t / scale, ..*s }).collect();
    let column = |c: Column| -> [f64; 4] {
        match c {
            Column::Stop(i) => [-1.0, -p[i].u, -p[i].v, 0.0],
            Column::Gap(i) => [p[i].w, p[i].w * p[i].u, p[i].w * p[i].v, 1.0],
        }
    };
    let cost = |c: Column| match c {
        Column::Stop(i) => -p[i].t,
        Column::Gap(i) => p[i].w * p[i].t,
    };
    let mut basis = start(&p)?;
    let mut at = primal(&p, &Sheet { a: 0.0, b: 0.0, c: 0.0 });
    let mut bound = 0.0f64;
    for round in 0..ROUNDS {
        let m: [[f64; 4]; 4] = basis.map(column);
        // Multipliers: the plane and g that meet the four constraints with equality.
        let y = solve(m, basis.map(cost))?;
        bound = bound.max(y[3]);
        let sheet = Sheet { a: y[0], b: y[1], c: y[2] };
        let here = primal(&p, &sheet);
        if here.1 < at.1 {
            at = here;
        }
        // The constraint broken most; late, the first that is broken, which can't go round in circles (Bland).
        let mut worst: Option<(Column, f64)> = None;
        let late = round > ROUNDS / 2;
        let mut offer = |c: Column, broken: f64| {
            if broken > KEPT && worst.is_none_or(|w| !late && broken > w.1) {
                worst = Some((c, broken));
            }
        };
        for (i, s) in p.iter().enumerate() {
            let lack = s.t - sheet.at(s.u, s.v);
            if s.stops {
                offer(Column::Stop(i), -lack);
            }
            offer(Column::Gap(i), s.w * lack - y[3]);
        }
        let Some((enter, _)) = worst else { break };
        // Shares of the basis in the right-hand side (0, 0, 0, 1) and in the column that enters.
        let t = transposed(m);
        let x = solve(t, [0.0, 0.0, 0.0, 1.0])?;
        let z = solve(t, column(enter))?;
        let leave = (0..4).filter(|&k| z[k] > PIVOT).min_by(|&i, &k| {
            let r = |k: usize| x[k].max(0.0) / z[k];
            r(i).total_cmp(&r(k)).then(z[k].total_cmp(&z[i]))
        })?;
        basis[leave] = enter;
    }
    let s = at.0;
    Some(Best { sheet: Sheet { a: s.a * scale, ..s }, gap: at.1 * scale, bound: bound.min(at.1) * scale })
}

/// The plane moved along the tube until it touches, and its largest weighted lack.
fn primal(p: &[Stop], s: &Sheet) -> (Sheet, f64) {
    let shift = p.iter().filter(|q| q.stops).map(|q| q.t - s.at(q.u, q.v)).fold(f64::INFINITY, f64::min);
    let s = Sheet { a: s.a + shift, ..*s };
    (s, p.iter().map(|q| q.w * (q.t - s.at(q.u, q.v))).fold(0.0, f64::max))
}

/// A first basis: the gap at one place, and stops there and at two others out of line with it. The basis is feasible:
/// the two at the first place balance one another.
fn start(p: &[Stop]) -> Option<[Column; 4]> {
    let first = p.iter().position(|s| s.stops && s.w > PIVOT)?;
    let away = |i: usize, j: usize| (p[i].u - p[j].u).hypot(p[i].v - p[j].v);
    let stops = || (0..p.len()).filter(|&i| p[i].stops);
    let far = stops().max_by(|&a, &b| away(a, first).total_cmp(&away(b, first)))?;
    let area = |i: usize| {
        ((p[far].u - p[first].u) * (p[i].v - p[first].v) - (p[far].v - p[first].v) * (p[i].u - p[first].u)).abs()
    };
    let wide = stops().max_by(|&a, &b| area(a).total_cmp(&area(b)))?;
    (area(wide) > 1e-9).then_some([Column::Gap(first), Column::Stop(first), Column::Stop(far), Column::Stop(wide)])
}

fn transposed(m: [[f64; 4]; 4]) -> [[f64; 4]; 4] {
    let mut t = m;
    for (i, row) in m.iter().enumerate() {
        for (k, x) in row.iter().enumerate() {
            t[k][i] = *x;
        }
    }
    t
}

/// Solves four equations by elimination with the largest pivot. `None` if they are singular.
fn solve(mut m: [[f64; 4]; 4], mut b: [f64; 4]) -> Option<[f64; 4]> {
    for k in 0..4 {
        let pivot = (k..4).max_by(|&i, &j| m[i][k].abs().total_cmp(&m[j][k].abs()))?;
        m.swap(k, pivot);
        b.swap(k, pivot);
        if m[k][k].abs() < PIVOT {
            return None;
        }
        for i in k + 1..4 {
            let f = m[i][k] / m[k][k];
            let row = m[k];
            for (x, y) in m[i].iter_mut().zip(row).skip(k) {
                *x -= f * y;
            }
            b[i] -= f * b[k];
        }
    }
    for k in (0..4).rev() {
        let sum: f64 = (k + 1..4).map(|j| m[k][j] * b[j]).sum();
        b[k] = (b[k] - sum) / m[k][k];
    }
    Some(b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ring(n: usize, t: impl Fn(f64) -> f64) -> Vec<Stop> {
        (0..n)
            .map(|k| {
                let a = std::f64::consts::TAU * k as f64 / n as f64;
                Stop { u: 0.02 * a.cos(), v: 0.02 * a.sin(), t: t(a), w: 1.0, stops: true }
            })
            .collect()
    }

    #[test]
    fn a_plane_is_found_again() {
        let b = best(&ring(90, |a| 0.3 + 0.02 * (0.7 * a.cos() - 0.2 * a.sin()))).expect("a plane");
        assert!(b.gap < 1e-14 && (b.sheet.b - 0.7).abs() < 1e-12 && (b.sheet.c + 0.2).abs() < 1e-12);
    }

    /// cos 2a is as far from every plane as it is high: the best plane is level, by symmetry.
    #[test]
    fn a_saddle_needs_its_whole_height() {
        let b = best(&ring(360, |a| 0.001 * (2.0 * a).cos())).expect("a plane");
        assert!((b.gap - 0.002).abs() < 1e-12, "{b:?}");
        assert!((b.bound - b.gap).abs() < 1e-12);
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]
        /// Bound and gap meet, and no plane near the one found does better.
        #[test]
        fn bound_and_gap_meet(c in prop::array::uniform6(-1.0..1.0f64), d in prop::array::uniform3(-0.3..0.3f64)) {
            let t = |a: f64| 1e-3 * (c[0] * a.cos() + c[1] * (2.0 * a).cos() + c[2] * (2.0 * a).sin() + c[3] * (3.0 * a).sin());
            let stops: Vec<Stop> = ring(72, t).into_iter().enumerate()
                .map(|(k, s)| Stop { w: (0.6 + 0.4 * c[4] * (k as f64 * 0.3).sin()).clamp(0.0, 1.0), ..s }).collect();
            let b = best(&stops).expect("a plane");
            prop_assert!(b.gap - b.bound < 1e-9 * 0.02, "{b:?}");
            let near = Sheet { a: 0.0, b: b.sheet.b + d[0] * 0.1, c: b.sheet.c + d[1] * 0.1 };
            prop_assert!(primal(&stops, &near).1 >= b.gap - 1e-12);
        }
    }
}
