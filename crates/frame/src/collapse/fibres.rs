//! A cross-section as fibres that yield.

use geometry::DVec3;
use glam::{DMat4, DVec4};

/// A section as fibres, all of one material. Each is pulled, and sheared as the section twists: elastic to von Mises'
/// yield stress, √(σ² + 3τ²), then with a constant slope, moving the elastic range along (kinematic hardening).
#[derive(Clone, Debug, PartialEq)]
pub struct Fibres {
    /// Place along u, place along v, area; m, m, m².
    pub fibres: Vec<[f64; 3]>,
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Yield stress, Pa.
    pub yields: f64,
    /// Slope after yielding as a part of the modulus. Not zero: then nothing would be told apart at the peak.
    pub hardening: f64,
}

impl Fibres {
    /// A round tube: `around` fibres on each of `layers` rings of one thickness. Area and second moment are exact with one
    /// ring already: each ring's fibres sit where its second moment is.
    pub fn round(od: f64, wall: f64, around: usize, layers: usize) -> Vec<[f64; 3]> {
        let inner = od / 2.0 - wall;
        let mut out = Vec::with_capacity(around * layers);
        for k in 0..layers {
            let a = inner + wall * k as f64 / layers as f64;
            let b = inner + wall * (k + 1) as f64 / layers as f64;
            let area = std::f64::consts::PI * (b * b - a * a) / around as f64;
            let r = ((a * a + b * b) / 2.0).sqrt();
            out.extend((0..around).map(|i| {
                let (s, c) = (std::f64::consts::TAU * (i as f64 + 0.5) / around as f64).sin_cos();
                [r * c, r * s, area]
            }));
        }
        out
    }
}

/// So many fibres are worked out at once.
const LANES: usize = 4;

/// Most of Newton's steps on a fibre's way back to its yield.
const RETURNS: usize = 20;

/// They end when the stress is within this part of the yield.
const RETURNED: f64 = 1e-12;

/// A section ready to be worked out: one list for each coordinate, filled up to whole lanes with fibres of no area.
///
/// Its strains are the axial one, the curvatures about u and v, and the twist for a unit of length. A wall that closes on
/// itself has one shear stress all round (Bredt): every fibre is sheared by the twist times one lever, √(J/A).
#[derive(Clone, Debug)]
pub(crate) struct Section {
    u: Vec<[f64; LANES]>,
    v: Vec<[f64; LANES]>,
    area: Vec<[f64; LANES]>,
    lever: f64,
    pub youngs: f64,
    shear: f64,
    pub yields: f64,
    hardening: f64,
    /// Elastic stiffness of the strains.
    pub elastic: DMat4,
    pub give: DMat4,
    /// The farthest fibre from the axis.
    reach: f64,
}

/// A fibre's stresses, their slopes and its lasting strains; the second of two is for shear.
struct Fibre {
    stress: [f64; 2],
    /// Of tension by stretch, of tension by shear, of shear by shear.
    slope: [f64; 3],
    lasting: [f64; 2],
}

impl Section {
    pub fn new(f: &Fibres, section: &crate::model::Section) -> Section {
        let lanes = |i: usize| {
            f.fibres
                .chunks(LANES)
                .map(|c| std::array::from_fn(|k| c.get(k).map_or(0.0, |x| x[i])))
                .collect::<Vec<[f64; LANES]>>()
        };
        let mut elastic = DMat4::ZERO;
        for x in &f.fibres {
            let a = shape(x[0], x[1]).extend(0.0);
            elastic += outer(a) * (x[2] * f.youngs);
        }
        elastic.w_axis.w = section.shear * section.torsion;
        let area = f.fibres.iter().map(|x| x[2]).sum::<f64>();
        let reach = f.fibres.iter().map(|x| x[0].hypot(x[1])).fold(0.0, f64::max);
        Section {
            u: lanes(0),
            v: lanes(1),
            area: lanes(2),
            lever: (section.torsion / area).sqrt(),
            youngs: f.youngs,
            shear: section.shear,
            yields: f.yields,
            hardening: f.hardening,
            elastic,
            give: elastic.inverse(),
            reach,
        }
    }

    /// Number of fibres, those of no area counted.
    pub fn count(&self) -> usize {
        self.u.len() * LANES
    }

    /// How many numbers a section remembers: two lasting strains of each fibre.
    pub fn memory(&self) -> usize {
        2 * self.count()
    }

    /// A fibre at its strains. Back to the yield by von Mises' rule: the lasting strains grow as the stress points, so that
    /// s (1 + (E + h) x) and t (1 + (3G + h) x) are what the strains would make, for the least x that brings √(s² + 3t²) down to
    /// the yield.
    #[inline]
    fn fibre(&self, [e, g]: [f64; 2], [pe, pg]: [f64; 2]) -> Fibre {
        // The middle of the elastic range moves with the lasting strains.
        let h = self.youngs * self.hardening / (1.0 - self.hardening);
        let (se, tg) = (self.youngs * (e - pe), self.shear * (g - pg));
        let (s0, t0) = (se - h * pe, tg - h / 3.0 * pg);
        let yields2 = self.yields * self.yields;
        if s0 * s0 + 3.0 * t0 * t0 <= yields2 {
            return Fibre { stress: [se, tg], slope: [self.youngs, 0.0, self.shear], lasting: [pe, pg] };
        }
        let (a, b) = (self.youngs + h, 3.0 * self.shear + h);
        let mut x = 0.0;
        let (mut ka, mut kb, mut s, mut t) = (1.0, 1.0, s0, t0);
        for _ in 0..RETURNS {
            // The reciprocal of the stress is straight in x where there is only one of both: one step then.
            let q = s * s + 3.0 * t * t;
            let size = q.sqrt();
            if (size - self.yields).abs() <= RETURNED * self.yields {
                break;
            }
            let dq = -2.0 * (a * s * s * ka + 3.0 * b * t * t * kb);
            x += (size.recip() - self.yields.recip()) * 2.0 * q * size / dq;
            (ka, kb) = ((1.0 + a * x).recip(), (1.0 + b * x).recip());
            (s, t) = (s0 * ka, t0 * kb);
        }
        let d = a * s * s * ka + 3.0 * b * t * t * kb;
        let (xe, xg) = (s * self.youngs * ka / d, 3.0 * t * self.shear * kb / d);
        let grown = 1.0 + h * x;
        let slope = [
            grown * ka * (self.youngs - a * s * xe) + h * s * xe,
            (h * s - grown * ka * a * s) * xg,
            grown * kb * (self.shear - b * t * xg) + h * t * xg,
        ];
        let lasting = [pe + x * s, pg + 3.0 * x * t];
        Fibre { stress: [s + h * lasting[0], t + h / 3.0 * lasting[1]], slope, lasting }
    }

    /// Force, moments and torque at strains, their slopes, and the lasting strains, written to `then`: first all for
    /// tension, then all for shear.
    pub fn answer(&self, e: DVec4, lasting: &[f64], then: &mut [f64]) -> (DVec4, DMat4) {
        let n = self.count();
        let (pe, pg) = lasting.split_at(n);
        let (ne, ng) = then.split_at_mut(n);
        let (u, v, area) = (self.u.as_flattened(), self.v.as_flattened(), self.area.as_flattened());
        let sheared = self.lever * e.w;
        // Of tension: its sum, its moments; of shear its sum.
        let [mut n0, mut mv, mut mu, mut t0] = [0.0; 4];
        // Slopes, of tension by stretch: 1, v, u, v², uv, u²; by shear: 1, v, u; of shear by shear.
        let [mut k, mut kv, mut ku, mut kvv, mut kuv, mut kuu, mut c, mut cv, mut cu, mut g] = [0.0; 10];
        for i in 0..n {
            let (u, v, area) = (u[i], v[i], area[i]);
            let f = self.fibre([e.x + v * e.y - u * e.z, sheared], [pe[i], pg[i]]);
            [ne[i], ng[i]] = f.lasting;
            let s = f.stress[0] * area;
            n0 += s;
            mv += s * v;
            mu += s * u;
            t0 += f.stress[1] * area;
            let (by_stretch, by_shear) = (f.slope[0] * area, f.slope[1] * area);
            let (by_v, by_u) = (by_stretch * v, by_stretch * u);
            k += by_stretch;
            kv += by_v;
            ku += by_u;
            kvv += by_v * v;
            kuv += by_v * u;
            kuu += by_u * u;
            c += by_shear;
            cv += by_shear * v;
            cu += by_shear * u;
            g += f.slope[2] * area;
        }
        let l = self.lever;
        let slope = DMat4::from_cols(
            DVec4::new(k, kv, -ku, c * l),
            DVec4::new(kv, kvv, -kuv, cv * l),
            DVec4::new(-ku, -kuv, kuu, -cu * l),
            DVec4::new(c * l, cv * l, -cu * l, g * l * l),
        );
        (DVec4::new(n0, mv, -mu, t0 * l), slope)
    }

    /// Whether fibres that have not yielded are all sure to stay in their elastic range at these strains.
    pub fn stays(&self, e: DVec4) -> bool {
        let s = self.youngs * (e.x.abs() + self.reach * e.y.hypot(e.z));
        let t = self.shear * self.lever * e.w;
        s * s + 3.0 * t * t <= self.yields * self.yields
    }

    /// At what part of the way from one set of strains to another a fibre first comes to its yield; 1 if none does.
    pub fn comes_to_yield(&self, from: DVec4, to: DVec4) -> f64 {
        let part = |u: f64, v: f64| {
            let [(a, p), (b, q)] = [from, to]
                .map(|e| (self.youngs * shape(u, v).dot(e.truncate()), 3.0_f64.sqrt() * self.shear * self.lever * e.w));
            if b.hypot(q) <= self.yields {
                return 1.0;
            }
            // (a + k (b - a))² + (p + k (q - p))² is the square of the yield.
            let (da, dp) = (b - a, q - p);
            let (two, one, none) = (da * da + dp * dp, a * da + p * dp, a * a + p * p - self.yields * self.yields);
            if two == 0.0 { 0.0 } else { ((-one + (one * one - two * none).max(0.0).sqrt()) / two).clamp(0.0, 1.0) }
        };
        let all = self.u.as_flattened().iter().zip(self.v.as_flattened()).zip(self.area.as_flattened());
        all.filter(|(_, a)| **a > 0.0).map(|((u, v), _)| part(*u, *v)).fold(1.0, f64::min)
    }
}

/// A fibre's strain for a unit of axial strain and of curvature about u and v.
fn shape(u: f64, v: f64) -> DVec3 {
    DVec3::new(1.0, v, -u)
}

fn outer(a: DVec4) -> DMat4 {
    DMat4::from_cols(a * a.x, a * a.y, a * a.z, a * a.w)
}
