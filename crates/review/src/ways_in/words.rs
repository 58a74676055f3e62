//! Ways in words that a person with gloves on can follow.

use cutting::assembly::{Last, Turn, Way};
use geometry::DVec3;
use shape::End;

use crate::Text;

/// Angles under this are not worth a word, rad: a degree.
const PLAIN: f64 = 0.0175;

/// Of a motion's parts those under this sine are left out: 22 degrees.
const SMALL: f64 = 0.38;

/// A slide under this is rounding, m.
const STAYS: f64 = 5e-4;

/// All of a way, from outside to its place.
pub fn way(way: &Way, t: &Text) -> String {
    let first = direction(way.from);
    match &way.last {
        None => first,
        Some(Last::Slide { from, length }) => {
            format!("{first}; then {} home {}", t.length_unit(*length), direction(*from))
        }
        Some(Last::Swing { end, on, turn, from }) => {
            let far = if *end == End::Start { End::End } else { End::Start };
            format!(
                "{first}, the {} laid on {on}; then swing the {} {} by {}{}",
                end.word(),
                far.word(),
                motion(-*from),
                t.angle(turn.angle),
                slide(turn, t)
            )
        }
    }
}

/// How it slides along its axis while it is swung in.
fn slide(turn: &Turn, t: &Text) -> String {
    if turn.slide.abs() < STAYS {
        return String::new();
    }
    // What is told is the way in; the turn is the way out.
    let home = turn.axis * -turn.slide.signum();
    format!(", sliding {} {} meanwhile", t.length_unit(turn.slide.abs()), motion(home))
}

/// How far off its line it may be led: `±10°`, or that it slides.
pub fn margin(way: &Way, t: &Text) -> String {
    if way.margin > 0.0 { format!("±{}", t.angle(way.margin)) } else { "slide".to_owned() }
}

/// "from above", "from the front left and below", "from above, 12° off plumb towards the front": where a piece comes from
/// that leaves along `d` (x forward, y left, z up).
pub fn direction(d: DVec3) -> String {
    if let Some(words) = plain(d) {
        return words;
    }
    let names = [
        (DVec3::Z, "above", "up"),
        (DVec3::NEG_Z, "below", "down"),
        (DVec3::X, "the front", "the front"),
        (DVec3::NEG_X, "the rear", "the rear"),
        (DVec3::Y, "the left", "the left"),
        (DVec3::NEG_Y, "the right", "the right"),
    ];
    let nearest = |skip: Option<DVec3>| {
        let open = names.iter().filter(move |n| skip.is_none_or(|s: DVec3| n.0.dot(s).abs() < 0.5));
        open.fold(None, |best: Option<&(DVec3, &str, &str)>, n| match best {
            Some(b) if b.0.dot(d) >= n.0.dot(d) => Some(b),
            _ => Some(n),
        })
    };
    let (Some(main), Some(second)) = (nearest(None), nearest(nearest(None).map(|n| n.0))) else {
        return String::new();
    };
    let off = d.cross(main.0).length().atan2(d.dot(main.0)).to_degrees();
    let upright = main.0.z.abs() > 0.5;
    let what = if upright { "off plumb" } else { "off straight" };
    let towards = if second.0.z == 0.0 { format!("towards {}", second.2) } else { second.2.to_owned() };
    format!("from {}, {off:.0}° {what} {towards}", main.1)
}

/// Along an axis of the car or halfway between two or three.
fn plain(d: DVec3) -> Option<String> {
    let most = d.abs().max_element();
    let step = |v: f64| if v.abs() < 0.5 * most { 0.0 } else { v.signum() };
    let near = DVec3::new(step(d.x), step(d.y), step(d.z));
    if near.try_normalize()?.angle_between(d) > PLAIN {
        return None;
    }
    let along = |v: f64, plus, minus| match v {
        v if v > 0.0 => Some(plus),
        v if v < 0.0 => Some(minus),
        _ => None,
    };
    let level: Vec<&str> =
        [along(near.x, "front", "rear"), along(near.y, "left", "right")].into_iter().flatten().collect();
    let upright = along(near.z, "above", "below");
    Some(match (level.is_empty(), upright) {
        (true, up) => format!("from {}", up?),
        (false, None) => format!("from the {}", level.join(" ")),
        (false, Some(up)) => format!("from the {} and {up}", level.join(" ")),
    })
}

/// "up and forward": which way something moves.
pub fn motion(v: DVec3) -> String {
    let v = v.normalize_or_zero();
    let mut parts = [
        (v.z, "up"),
        (-v.z, "down"),
        (v.x, "forward"),
        (-v.x, "rearward"),
        (v.y, "to the left"),
        (-v.y, "to the right"),
    ];
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let told: Vec<&str> = parts.iter().filter(|p| p.0 > SMALL).map(|p| p.1).collect();
    told.join(" and ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_have_names() {
        assert_eq!(direction(DVec3::Z), "from above");
        assert_eq!(direction(DVec3::NEG_X), "from the rear");
        assert_eq!(direction(DVec3::new(1.0, 1.0, 0.0).normalize()), "from the front left");
        assert_eq!(direction(DVec3::new(0.0, -1.0, -1.0).normalize()), "from the right and below");
        assert_eq!(direction(DVec3::new(-1.0, -1.0, 1.0).normalize()), "from the rear right and above");
        let a = 12f64.to_radians();
        assert_eq!(direction(DVec3::new(a.sin(), 0.0, a.cos())), "from above, 12° off plumb towards the front");
        assert_eq!(direction(DVec3::new(0.0, -a.cos(), -a.sin())), "from the right, 12° off straight down");
        assert_eq!(direction(DVec3::new(-a.cos(), a.sin(), 0.0)), "from the rear, 12° off straight towards the left");
    }

    #[test]
    fn motions_have_names() {
        assert_eq!(motion(DVec3::Z), "up");
        assert_eq!(motion(DVec3::new(0.5, 0.1, -0.8)), "down and forward");
        assert_eq!(motion(DVec3::new(-0.1, -3.0, 0.1)), "to the right");
    }

    /// Whatever it is, there are words for it.
    #[test]
    fn no_direction_is_left_without_words() {
        for k in 0..2000 {
            let a = f64::from(k) * 2.399_963;
            let z = 1.0 - f64::from(2 * k + 1) / 2000.0;
            let r = (1.0 - z * z).sqrt();
            let d = DVec3::new(r * a.cos(), r * a.sin(), z);
            assert!(direction(d).starts_with("from "), "{d}");
            assert!(!motion(d).is_empty(), "{d}");
        }
    }
}
